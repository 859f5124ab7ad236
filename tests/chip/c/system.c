/* SIO with its divider (data sheet 2.3.1), TIMER (4.6), the processor's own registers (NVIC, SysTick; 2.4), RESETS and
 * PSM. A second core does not exist; interpolators are left out. */

/* TIMER */

static uint64_t micros(const Chip *c) { return (c->t - c->epoch) / MHZ; }

static void timer_interrupts(Chip *c) {
    for (int n = 0; n < 4; n++) irq(c, n, ((c->tintr & c->tinte) | c->tintf) >> n & 1);
}

static void timer_arm(Chip *c, int n, uint32_t value) {
    uint64_t now = micros(c);
    c->alarm_at[n] = value;
    c->armed |= 1u << n;
    c->alarm_due[n] = c->epoch + (now + (uint32_t)(value - (uint32_t)now)) * MHZ; /* the low 32 bits match */
    if (c->alarm_due[n] < c->t) c->alarm_due[n] = c->t;
}

static void timer_run(Chip *c) {
    for (int n = 0; n < 4; n++)
        if (c->armed >> n & 1 && c->alarm_due[n] <= c->t) {
            c->armed &= ~(1u << n);
            c->alarm_due[n] = NEVER;
            c->tintr |= 1u << n;
            timer_interrupts(c);
        }
}

static uint32_t timer_read(Chip *c, uint32_t o) {
    uint64_t now = micros(c);
    switch (o) {
        case 0x08: return c->latched;
        case 0x0c: c->latched = now >> 32; return now;
        case 0x10: case 0x14: case 0x18: case 0x1c: return c->alarm_at[o >> 2 & 3];
        case 0x20: return c->armed;
        case 0x24: return now >> 32;
        case 0x28: return now;
        case 0x2c: return 7;
        case 0x30: return c->paused;
        case 0x34: return c->tintr;
        case 0x38: return c->tinte;
        case 0x3c: return c->tintf;
        case 0x40: return (c->tintr & c->tinte) | c->tintf;
    }
    return 0;
}

static void timer_write(Chip *c, uint32_t a, uint32_t value) {
    uint32_t o = a & 0xfff;
    switch (o) {
        case 0x10: case 0x14: case 0x18: case 0x1c: timer_arm(c, o >> 2 & 3, value); break;
        case 0x20:
            for (int n = 0; n < 4; n++)
                if (value >> n & 1) c->armed &= ~(1u << n), c->alarm_due[n] = NEVER;
            break;
        case 0x30: c->paused = value & 1; break;
        case 0x34: c->tintr &= ~value; break;
        case 0x38: c->tinte = alias(a, c->tinte, value) & 15; break;
        case 0x3c: c->tintf = alias(a, c->tintf, value) & 15; break;
    }
    timer_interrupts(c);
}

static void timer_reset(Chip *c) {
    c->epoch = c->t;
    c->latched = c->armed = c->tintr = c->tinte = c->tintf = c->paused = 0;
    for (int n = 0; n < 4; n++) c->alarm_due[n] = NEVER, c->alarm_at[n] = 0;
    timer_interrupts(c);
}

/* SIO */

static void divide(Chip *c, int is_signed) {
    uint32_t a = c->div_a, b = c->div_b;
    if (is_signed) {
        int32_t x = a, y = b;
        if (!y) c->div_q = x < 0 ? 1 : -1, c->div_r = x;
        else if (x == INT32_MIN && y == -1) c->div_q = x, c->div_r = 0;
        else c->div_q = x / y, c->div_r = x % y;
    } else if (!b)
        c->div_q = ~0u, c->div_r = a;
    else
        c->div_q = a / b, c->div_r = a % b;
    c->div_csr = 3;
}

static uint32_t sio_read(Chip *c, uint32_t o) {
    if (o >= 0x100 && o < 0x180) {
        uint32_t bit = 1u << (o >> 2 & 31), was = c->spin & bit;
        c->spin |= bit;
        return was ? 0 : bit;
    }
    switch (o) {
        case 0x00: return 0;
        case 0x04: devices(c, c->now); return c->level & c->ie;
        case 0x08: return 0x3e; /* the flash's pins, high but for the clock */
        case 0x10: case 0x14: case 0x18: case 0x1c: return c->out;
        case 0x20: case 0x24: case 0x28: case 0x2c: return c->oe;
        case 0x30: case 0x34: case 0x38: case 0x3c: return c->hi_out;
        case 0x40: case 0x44: case 0x48: case 0x4c: return c->hi_oe;
        case 0x50: return (c->fifo_n != 0) | 2;
        case 0x58: {
            if (!c->fifo_n) return 0;
            uint32_t value = c->fifo[0];
            memmove(c->fifo, c->fifo + 1, 4 * --c->fifo_n);
            return value;
        }
        case 0x5c: return c->spin;
        case 0x60: case 0x68: return c->div_a;
        case 0x64: case 0x6c: return c->div_b;
        case 0x70: c->div_csr &= 1; return c->div_q;
        case 0x74: return c->div_r;
        case 0x78: return c->div_csr | 1;
    }
    c->odd = 0xd0000000 + o;
    return 0;
}

static uint32_t changed(uint32_t o, uint32_t old, uint32_t value) {
    switch (o & 12) {
        case 4: return old | value;
        case 8: return old & ~value;
        case 12: return old ^ value;
    }
    return value;
}

static void sio_write(Chip *c, uint32_t o, uint32_t value) {
    if (o >= 0x100 && o < 0x180) {
        c->spin &= ~(1u << (o >> 2 & 31));
        return;
    }
    switch (o) {
        case 0x10: case 0x14: case 0x18: case 0x1c:
            devices(c, c->now);
            c->out = changed(o, c->out, value);
            pins_changed(c);
            break;
        case 0x20: case 0x24: case 0x28: case 0x2c:
            devices(c, c->now);
            c->oe = changed(o, c->oe, value);
            pins_changed(c);
            break;
        case 0x30: case 0x34: case 0x38: case 0x3c: c->hi_out = changed(o, c->hi_out, value); break;
        case 0x40: case 0x44: case 0x48: case 0x4c: c->hi_oe = changed(o, c->hi_oe, value); break;
        case 0x50: case 0x54: break; /* nobody reads the mailbox */
        case 0x60: c->div_a = value; divide(c, 0); break;
        case 0x64: c->div_b = value; divide(c, 0); break;
        case 0x68: c->div_a = value; divide(c, 1); break;
        case 0x6c: c->div_b = value; divide(c, 1); break;
        case 0x70: c->div_q = value; c->div_csr = 3; break;
        case 0x74: c->div_r = value; c->div_csr = 3; break;
        default: c->odd = 0xd0000000 + o;
    }
}

/* The processor's private peripherals. */

static void tick_arm(Chip *c) {
    c->tick_due = (c->tick_csr & 3) == 3 && c->tick_rvr
                      ? c->t + c->tick_rvr - (c->t - c->tick_from) % ((uint64_t)c->tick_rvr + 1)
                      : NEVER;
    if (c->tick_due <= c->t && c->tick_due != NEVER) c->tick_due += (uint64_t)c->tick_rvr + 1;
}

static uint32_t ppb_read(Chip *c, uint32_t o) {
    uint32_t value = 0;
    if (o >= 0x400 && o < 0x420) {
        for (int n = 0; n < 4; n++) value |= (uint32_t)c->priority[(o & 31) + n] << (8 * n + 6);
        return value;
    }
    switch (o) {
        case 0x010: return c->tick_csr;
        case 0x014: return c->tick_rvr;
        case 0x018:
            return c->tick_csr & 1 ? c->tick_rvr - (c->t - c->tick_from) % ((uint64_t)c->tick_rvr + 1) : 0;
        case 0x01c: return 0x270f;
        case 0x100: case 0x180: return c->enabled;
        case 0x200: case 0x280: return c->pending;
        case 0xd00: return 0x410cc601;
        case 0xd04:
            return c->ipsr | (c->pending & c->enabled ? 1u << 22 : 0) | (uint32_t)c->pend_tick << 26
                   | (uint32_t)c->pend_sv << 28 | (uint32_t)c->pend_nmi << 31;
        case 0xd08: return c->vtor;
        case 0xd0c: return 0xfa050000;
        case 0xd10: return c->scr;
        case 0xd14: return 0x208;
        case 0xd1c: return c->shpr2;
        case 0xd20: return c->shpr3;
    }
    return 0;
}

static void ppb_write(Chip *c, uint32_t o, uint32_t value) {
    c->check = 1;
    if (o >= 0x400 && o < 0x420) {
        for (int n = 0; n < 4; n++) c->priority[(o & 31) + n] = value >> (8 * n + 6) & 3;
        return;
    }
    switch (o) {
        case 0x010: c->tick_csr = value & 7; c->tick_from = c->t; tick_arm(c); break;
        case 0x014: c->tick_rvr = value & 0xffffff; tick_arm(c); break;
        case 0x018: c->tick_from = c->t; tick_arm(c); break;
        case 0x100: c->enabled |= value; break;
        case 0x180: c->enabled &= ~value; break;
        case 0x200: c->pending |= value; break;
        case 0x280: c->pending = (c->pending & ~value) | c->lines; break;
        case 0xd04:
            if (value >> 31) c->pend_nmi = 1;
            if (value >> 28 & 1) c->pend_sv = 1;
            if (value >> 27 & 1) c->pend_sv = 0;
            if (value >> 26 & 1) c->pend_tick = 1;
            if (value >> 25 & 1) c->pend_tick = 0;
            break;
        case 0xd08: c->vtor = value & 0xffffff00; break;
        case 0xd0c: if (value >> 16 == 0x5fa && value & 4) c->stop |= STOP_RESTART; break;
        case 0xd10: c->scr = value; break;
        case 0xd1c: c->shpr2 = value; break;
        case 0xd20: c->shpr3 = value; break;
    }
}

/* RESETS: the peripherals that live here are reset; those in Python are left as they are. */

static void resets_apply(Chip *c, uint32_t bits) {
    if (bits & 1u << 2) dma_reset(c);
    if (bits & 1u << 3) i2c_reset(c, 0);
    if (bits & 1u << 4) i2c_reset(c, 1);
    if (bits & 1u << 5) {
        for (int n = 0; n < 30; n++) c->pin_ctrl[n] = 0x1f;
        memset(c->inte, 0, sizeof c->inte);
        pins_select(c);
    }
    if (bits & 1u << 8) {
        for (int n = 0; n < 30; n++) c->pad[n] = 0x56;
        pins_select(c);
    }
    if (bits & 1u << 10) pio_reset(c, 0);
    if (bits & 1u << 11) pio_reset(c, 1);
    if (bits & 1u << 14) memset(c->pwm, 0, sizeof c->pwm);
    if (bits & 1u << 16) spi_reset(c, 0);
    if (bits & 1u << 17) spi_reset(c, 1);
    if (bits & 1u << 21) timer_reset(c);
}

static void resets_write(Chip *c, uint32_t a, uint32_t value) {
    uint32_t o = a & 0xfff, was = c->resets;
    if (o == 0) {
        c->resets = alias(a, was, value) & 0x1ffffff;
        resets_apply(c, c->resets & ~was);
    }
    if (o == 4) c->resets_wdsel = alias(a, c->resets_wdsel, value) & 0x1ffffff;
}

static void psm_write(Chip *c, uint32_t a, uint32_t value) {
    uint32_t o = a & 0xfff, was = c->psm_off;
    if (o == 0) c->psm_on = alias(a, c->psm_on, value) & 0x1ffff;
    if (o == 4) c->psm_off = alias(a, was, value) & 0x1ffff;
    if (o == 8) c->psm_wdsel = alias(a, c->psm_wdsel, value) & 0x1ffff;
    if (was & ~c->psm_off & 0x10000 && c->fifo_n < 8) c->fifo[c->fifo_n++] = 0; /* core 1's ROM says that it is up */
}
