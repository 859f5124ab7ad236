/* The SSI and the flash chip behind it (W25Q16JV, 2 MiB), the XIP cache (data sheet 2.6.3), and what a read through
 * them costs.
 *
 * The cache has two ways of 1,024 lines of 8 bytes, and a valid flag for each half of a line (the SDK's xip_cache.c
 * says so: "two valid flags per cache line"). A miss reads one word, as boot2 sets the SSI up ("single 32b read"), over
 * QSPI in continuous read mode: address and mode bits, dummy clocks, 8 clocks of data, at the SSI's clock divider. With
 * boot2 for the W25Q080 (8 address nibbles, 4 dummies) at divider 2 that is 2 * (8 + 4 + 8) = 40 cycles. The pause
 * between two selects is not counted, nor what the processor fetches ahead; which way of a set is replaced the data
 * sheet leaves open: the older one here. */

/* W25Q16JV data sheet, typical times: sector 45 ms, 32 KB 120 ms, 64 KB 150 ms, page 0.4 ms, chip 5 s (from memory);
 * a status register 10 ms. */
#define MS(x) ((uint64_t)((x) * 1000 * MHZ))

static void ssi_costs(Chip *c) {
    uint32_t baud = c->ssi.baudr ? c->ssi.baudr : 2;
    uint32_t before = (c->ssi.spi_ctrlr0 >> 2 & 15) + (c->ssi.spi_ctrlr0 >> 11 & 31);
    c->cache.cost = baud * (before + 8);
}

static void cache_flush(Chip *c) {
    memset(c->cache.tag, 0xff, sizeof c->cache.tag);
    c->cache.word = ~0u;
}

/* Wait states of a read at a flash address (0x10000000..0x13ffffff). */
static uint32_t cache_read(Chip *c, uint32_t a) {
    Cache *k = &c->cache;
    k->counted_acc++;
    if (a & 0x02000000 || !(k->ctrl & 1)) return k->cost;
    uint32_t set = a >> 3 & 1023, tag = (a & 0xffffff) >> 13, half = 1 << (a >> 2 & 1);
    int way = k->tag[set][0] == tag ? 0 : k->tag[set][1] == tag ? 1 : -1;
    if (way >= 0 && k->valid[set][way] & half) {
        k->older[set] = way ^ 1;
        k->hits++;
        k->counted_hit++;
        return 0;
    }
    k->misses++;
    k->word = ~0u; /* the word that is being executed may have gone */
    if (a & 0x01000000) return k->cost; /* this alias does not fill */
    if (way < 0) {
        way = k->older[set];
        k->tag[set][way] = tag;
        k->valid[set][way] = 0;
    }
    k->valid[set][way] |= half;
    k->older[set] = way ^ 1;
    return k->cost;
}

/* A write to the cached address of flash forgets that half of a line. */
static void cache_forget(Chip *c, uint32_t a) {
    uint32_t set = a >> 3 & 1023, tag = (a & 0xffffff) >> 13;
    for (int way = 0; way < 2; way++)
        if (c->cache.tag[set][way] == tag) c->cache.valid[set][way] &= ~(1 << (a >> 2 & 1));
    c->cache.word = ~0u;
}

static void op_begin(Chip *c, uint32_t address, uint32_t length, uint64_t cycles) {
    Ssi *s = &c->ssi;
    s->op_address = address;
    s->op_length = length;
    s->op_from = c->t;
    s->busy_until = c->t + cycles;
    memcpy(s->was, c->flash + address, length);
}

/* Chip select rises: what was sent is carried out. */
static void flash_deselect(Chip *c) {
    Ssi *s = &c->ssi;
    uint32_t n = s->place, length = 0;
    uint64_t cycles = 0;
    s->place = 0;
    if (!n || s->busy_until > c->t) return;
    switch (s->command) {
        case 0x06: s->enabled_write = 1; return;
        case 0x04: s->enabled_write = 0; return;
        case 0x20: length = 4096; cycles = MS(45); break;
        case 0x52: length = 32768; cycles = MS(120); break;
        case 0xd8: length = 65536; cycles = MS(150); break;
        case 0xc7: case 0x60: length = FLASH_SIZE; cycles = MS(5000); s->address = 0; n = 4; break;
        case 0x01:
            if (s->enabled_write) s->busy_until = c->t + MS(10), s->op_length = 0;
            s->enabled_write = 0;
            return;
        case 0x02:
            if (n > 4 && s->enabled_write) {
                uint32_t base = s->address & (FLASH_SIZE - 1) & ~255u;
                uint32_t count = n - 4 > 256 ? 256 : n - 4;
                op_begin(c, base, 256, MS(0.4));
                for (uint32_t k = 0; k < count; k++) c->flash[base + ((s->address + k) & 255)] &= s->page[k];
                s->programs++;
            }
            s->enabled_write = 0;
            return;
        default: return;
    }
    if (n >= 4 && s->enabled_write) {
        uint32_t base = s->address & (FLASH_SIZE - 1) & ~(length - 1);
        op_begin(c, base, length, cycles);
        memset(c->flash + base, 0xff, length);
        s->erases++;
    }
    s->enabled_write = 0;
}

static uint8_t flash_byte(Chip *c, uint8_t in) {
    Ssi *s = &c->ssi;
    uint32_t n = s->place++;
    static const uint8_t jedec[3] = {0xef, 0x40, 0x15};
    if (!n) {
        s->command = in;
        s->address = 0;
        return 0xff;
    }
    int busy = s->busy_until > c->t;
    if (n <= 3) s->address = s->address << 8 | in;
    switch (s->command) {
        case 0x05: return busy | s->enabled_write << 1;
        case 0x35: return 2; /* quad enabled */
        case 0x9f: return n <= 3 ? jedec[n - 1] : 0;
        case 0x4b: return n >= 5 && n < 13 ? 0xe6 + n : 0xff;
        case 0x03: return n >= 4 ? c->flash[(s->address + n - 4) & (FLASH_SIZE - 1)] : 0xff;
        case 0x0b: return n >= 5 ? c->flash[(s->address + n - 5) & (FLASH_SIZE - 1)] : 0xff;
        case 0x02:
            if (n >= 4) s->page[(n - 4) & 255] = in;
            return 0xff;
    }
    return 0xff;
}

static void ssi_send(Chip *c, uint32_t value) {
    Ssi *s = &c->ssi;
    uint32_t bits = (s->ctrlr0 >> 16 & 31) + 1, quad = s->ctrlr0 >> 21 & 3;
    uint8_t in = 0xff;
    if (!s->forced && c->t > s->idle_at) flash_deselect(c); /* the shifter ran dry: the SSI lifted select */
    if (!quad && s->forced != 3) in = flash_byte(c, value);
    if (s->idle_at < c->t) s->idle_at = c->t;
    s->idle_at += (uint64_t)(bits >> (quad ? 2 : 0)) * (s->baudr ? s->baudr : 2) * c->slow >> 8;
    if (s->rx_n < 16) {
        uint32_t at = (s->rx_at + s->rx_n++) & 15;
        s->rx[at] = in;
        s->rx_when[at] = s->idle_at;
    }
}

static uint32_t ssi_ready(Chip *c) {
    uint32_t n = 0;
    while (n < c->ssi.rx_n && c->ssi.rx_when[(c->ssi.rx_at + n) & 15] <= c->t) n++;
    return n;
}

static uint32_t ssi_read(Chip *c, uint32_t o) {
    Ssi *s = &c->ssi;
    uint32_t ready = ssi_ready(c), pending = s->rx_n - ready;
    if (o >= 0x60 && o < 0xf0) {
        uint32_t value = s->rx[s->rx_at];
        if (ready) {
            s->rx_at = (s->rx_at + 1) & 15;
            s->rx_n--;
        }
        return value;
    }
    switch (o) {
        case 0x00: return s->ctrlr0;
        case 0x04: return s->ctrlr1;
        case 0x08: return s->ssienr;
        case 0x10: return s->ser;
        case 0x14: return s->baudr;
        case 0x18: return s->txftlr;
        case 0x1c: return s->rxftlr;
        case 0x20: return pending > 1 ? pending - 1 : 0;
        case 0x24: return ready;
        case 0x28:
            return (c->t < s->idle_at) | 2 | (pending <= 1) << 2 | !!ready << 3 | (ready == 16) << 4;
        case 0x58: return 0x51535049;
        case 0x5c: return 0x3430312a;
        case 0xf0: return s->rx_sample_dly;
        case 0xf4: return s->spi_ctrlr0;
    }
    return 0;
}

static void ssi_write(Chip *c, uint32_t a, uint32_t value) {
    Ssi *s = &c->ssi;
    uint32_t o = a & 0xfff;
    if (o >= 0x60 && o < 0xf0) {
        if (s->ssienr & 1) ssi_send(c, value);
        return;
    }
    switch (o) {
        case 0x00: s->ctrlr0 = alias(a, s->ctrlr0, value); break;
        case 0x04: s->ctrlr1 = alias(a, s->ctrlr1, value); break;
        case 0x08:
            s->ssienr = alias(a, s->ssienr, value) & 1;
            if (!s->ssienr) {
                s->rx_n = 0;
                if (!s->forced) flash_deselect(c);
            }
            break;
        case 0x10: s->ser = alias(a, s->ser, value); break;
        case 0x14: s->baudr = alias(a, s->baudr, value) & 0xfffe; break;
        case 0x18: s->txftlr = alias(a, s->txftlr, value); break;
        case 0x1c: s->rxftlr = alias(a, s->rxftlr, value); break;
        case 0xf0: s->rx_sample_dly = alias(a, s->rx_sample_dly, value); break;
        case 0xf4: s->spi_ctrlr0 = alias(a, s->spi_ctrlr0, value); break;
    }
    ssi_costs(c);
}

/* IO_QSPI: only the select pin's override matters (register 0x0c, bits 8 and 9). */
static void qspi_write(Chip *c, uint32_t a, uint32_t value) {
    uint32_t n = (a & 0xfff) >> 2;
    if (n >= 12) return;
    c->qspi[n] = alias(a, c->qspi[n], value);
    if (n != 3) return;
    uint8_t over = c->qspi[3] >> 8 & 3;
    if (over != c->ssi.forced && over != 2) flash_deselect(c);
    c->ssi.forced = over;
}

static uint32_t xip_read(Chip *c, uint32_t o) {
    switch (o) {
        case 0x00: return c->cache.ctrl;
        case 0x08: return 1 | 2; /* flush ready, stream FIFO empty */
        case 0x0c: return c->cache.counted_hit;
        case 0x10: return c->cache.counted_acc;
    }
    return 0;
}

static void xip_write(Chip *c, uint32_t a, uint32_t value) {
    switch (a & 0xfff) {
        case 0x00: c->cache.ctrl = alias(a, c->cache.ctrl, value); c->cache.word = ~0u; break;
        case 0x04: if (value & 1) cache_flush(c); break;
        case 0x0c: c->cache.counted_hit = 0; break;
        case 0x10: c->cache.counted_acc = 0; break;
    }
}

static void ssi_reset(Chip *c) {
    Ssi *s = &c->ssi, was = *s;
    memset(s, 0, sizeof *s);
    s->was = was.was;
    s->erases = was.erases;
    s->programs = was.programs;
    s->busy_until = was.busy_until; /* the flash chip has no reset pin: what it began it ends */
    s->op_address = was.op_address;
    s->op_length = was.op_length;
    s->op_from = was.op_from;
    s->baudr = 4;
    s->spi_ctrlr0 = 4 << 11 | 8 << 2;
    c->qspi[3] = 0x1f;
    c->cache.ctrl = 3;
    cache_flush(c);
    ssi_costs(c);
}

/* Power is cut: what an erase or a program under way has not reached is as it was. */
void chip_tear(Chip *c) {
    Ssi *s = &c->ssi;
    if (s->busy_until > c->now && s->op_length) {
        uint64_t span = s->busy_until - s->op_from, passed = c->now - s->op_from;
        uint32_t done = s->op_length * passed / span;
        memcpy(c->flash + s->op_address + done, s->was + done, s->op_length - done);
    }
    s->busy_until = 0;
    s->op_length = 0;
}
