/* The address map (data sheet 2.2), and what an access costs beyond the processor's own cycles: the APB bridge adds two
 * cycles to a read and three to a write (2.1.4, from memory); RAM, ROM and AHB peripherals add none (that two masters
 * may meet at one RAM bank is left out). */

static uint32_t apb_read(Chip *c, uint32_t a) {
    uint32_t o = a & 0xfff;
    switch (a >> 14 & 0x3f) {
        case 0x03: return o == 0 ? c->resets : o == 4 ? c->resets_wdsel : o == 8 ? ~c->resets & 0x1ffffff : 0;
        case 0x04: return o == 0 ? c->psm_on : o == 4 ? c->psm_off : o == 8 ? c->psm_wdsel
                          : (0x1ffff & ~c->psm_off) | (c->psm_on & c->psm_off);
        case 0x05: return io_read(c, o);
        case 0x06: return o < 48 ? c->qspi[o >> 2] : 0;
        case 0x07: return !o ? c->voltage : o <= 0x78 ? c->pad[(o >> 2) - 1] : 0xde;
        case 0x0f: return spi_read(c, &c->spi[0], o);
        case 0x10: return spi_read(c, &c->spi[1], o);
        case 0x11: return i2c_read(c, &c->i2c[0], o);
        case 0x12: return i2c_read(c, &c->i2c[1], o);
        case 0x14: return o < 0xc0 ? c->pwm[o >> 2] : 0;
        case 0x15: return timer_read(c, o);
    }
    return c->read(a);
}

static void apb_write(Chip *c, uint32_t a, uint32_t value) {
    uint32_t o = a & 0xfff;
    switch (a >> 14 & 0x3f) {
        case 0x03: resets_write(c, a, value); break;
        case 0x04: psm_write(c, a, value); break;
        case 0x05: io_write(c, a, value); return;
        case 0x06: qspi_write(c, a, value); return;
        case 0x07: pads_write(c, a, value); return;
        case 0x0f: spi_write(c, &c->spi[0], a, value); return;
        case 0x10: spi_write(c, &c->spi[1], a, value); return;
        case 0x11: i2c_write(c, &c->i2c[0], a, value); return;
        case 0x12: i2c_write(c, &c->i2c[1], a, value); return;
        case 0x14:
            if (o < 0xc0) c->pwm[o >> 2] = alias(a, c->pwm[o >> 2], value);
            return;
        case 0x15: timer_write(c, a, value); return;
    }
    c->write(a, value);
}

static uint32_t peripheral_read(Chip *c, uint32_t a) {
    devices(c, c->now);
    c->until = 0;
    switch (a >> 28) {
        case 1:
            if (a >> 14 == 0x14000000 >> 14) return xip_read(c, a & 0xfff);
            if (a >> 14 == 0x18000000 >> 14) return ssi_read(c, a & 0xfff);
            break;
        case 4:
            c->wait += 2;
            return apb_read(c, a);
        case 5:
            if (a >> 14 == 0x50000000 >> 14) return dma_read(c, a & 0xfff);
            if (a >> 14 == 0x50200000 >> 14) return pio_read(c, &c->pio[0], a & 0xfff);
            if (a >> 14 == 0x50300000 >> 14) return pio_read(c, &c->pio[1], a & 0xfff);
            if (a >> 14 == 0x50110000 >> 14) return c->read(a);
            break;
        case 14: return ppb_read(c, a & 0xfff);
    }
    c->odd = a;
    return 0;
}

static void peripheral_write(Chip *c, uint32_t a, uint32_t value) {
    devices(c, c->now);
    c->until = 0;
    switch (a >> 28) {
        case 1:
            if (a >> 14 == 0x14000000 >> 14) { xip_write(c, a, value); return; }
            if (a >> 14 == 0x18000000 >> 14) { ssi_write(c, a, value); return; }
            break;
        case 4:
            c->wait += 3;
            apb_write(c, a, value);
            return;
        case 5:
            if (a >> 14 == 0x50000000 >> 14) { dma_write(c, a, value); return; }
            if (a >> 14 == 0x50200000 >> 14) { pio_write(c, &c->pio[0], a, value); return; }
            if (a >> 14 == 0x50300000 >> 14) { pio_write(c, &c->pio[1], a, value); return; }
            if (a >> 14 == 0x50110000 >> 14) { c->write(a, value); return; }
            break;
        case 14: ppb_write(c, a & 0xfff, value); return;
    }
    c->odd = a;
}

static inline uint32_t load(const uint8_t *p, int size) {
    if (size == 4) { uint32_t v; memcpy(&v, p, 4); return v; }
    if (size == 2) { uint16_t v; memcpy(&v, p, 2); return v; }
    return *p;
}

static inline void store(uint8_t *p, uint32_t value, int size) { memcpy(p, &value, size); }

static uint32_t bus_read(Chip *c, uint32_t a, int size) {
    if (a - 0x20000000 < RAM_SIZE) return load(c->ram + (a - 0x20000000), size);
    if (a >> 26 == 0x10000000 >> 26) {
        if (c->cache.on) c->wait += cache_read(c, a);
        return load(c->flash + (a & (FLASH_SIZE - 1)), size);
    }
    if (a < 0x4000) return load(c->rom + a, size);
    if (a >> 12 == 0x50100) {
        devices(c, c->now);
        return load(c->dpram + (a & 0xfff), size);
    }
    uint32_t value;
    if (a >> 28 == 13) {
        value = sio_read(c, a & 0xffc);
    } else
        value = peripheral_read(c, a & ~3u);
    if (size == 4) return value;
    value >>= 8 * (a & 3);
    return size == 2 ? value & 0xffff : value & 0xff;
}

static void bus_write(Chip *c, uint32_t a, uint32_t value, int size) {
    if (a - 0x20000000 < RAM_SIZE) {
        store(c->ram + (a - 0x20000000), value, size);
        return;
    }
    if (a >> 12 == 0x50100) {
        devices(c, c->now);
        store(c->dpram + (a & 0xfff), value, size);
        if ((a & 0xfff) >= 0x80 && (a & 0xfff) < 0x100) {
            c->until = 0;
            c->write(a & ~3u, load(c->dpram + (a & 0xffc), 4));
        }
        return;
    }
    if (a >> 26 == 0x10000000 >> 26) {
        cache_forget(c, a);
        return;
    }
    if (size == 1) value = (value & 0xff) * 0x01010101u; /* narrow writes appear on all lanes (data sheet 2.1.4) */
    if (size == 2) value = (value & 0xffff) * 0x00010001u;
    if (a >> 28 == 13) sio_write(c, a & 0xffc, value);
    else peripheral_write(c, a & ~3u, value);
}
