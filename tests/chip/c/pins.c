/* IO_BANK0 and PADS_BANK0 (data sheet 2.19): who drives a pin, what stands on it, its interrupts, and its edges. */

enum { IRQ_IO_BANK0 = 13 };

static void edge_put(Edges *e, uint64_t ns, uint32_t level) {
    if (e->n == e->room) {
        e->room = e->room ? e->room * 2 : 1024;
        e->at = realloc(e->at, e->room * sizeof *e->at);
    }
    e->at[e->n++] = ns * 2 + level;
}

static void edge_add(Edges *e, uint64_t ns, uint32_t level) {
    if (!e->n || (e->at[e->n - 1] & 1) != level)
        edge_put(e, ns, level);
}

/* Four bits for each of eight pins: low, high, fell, rose. */
static uint32_t pins_raw(Chip *c, int n) {
    uint32_t raw = c->edge[n];
    for (int k = 0; k < 8 && n * 8 + k < 30; k++)
        raw |= (c->level & c->ie) >> (n * 8 + k) & 1 ? 2u << 4 * k : 1u << 4 * k;
    return raw;
}

static void pins_interrupt(Chip *c) {
    uint32_t due = 0;
    for (int n = 0; n < 4; n++) due |= (pins_raw(c, n) & c->inte[0][n]) | c->intf[0][n];
    irq(c, IRQ_IO_BANK0, due != 0);
}

/* A device that answers on an open-drain bus made of two pins: ACK for the addresses that are there. */
static void soft_bus(Chip *c, I2c *b, uint32_t was, uint32_t level) {
    uint32_t scl = 1u << b->scl, sda = 1u << b->sda;
    if ((was & scl) && (level & scl) && (was ^ level) & sda && !b->soft_pull) {
        b->soft_on = !(level & sda); /* SDA falls: START; it rises: STOP */
        b->soft_bits = b->soft_byte = 0;
        b->soft_first = 1;
        b->soft_ack = 0;
        if (!b->soft_on)
            log_add(&b->log, c->t, 0x200, level);
        return;
    }
    if (!b->soft_on || !((was ^ level) & scl))
        return;
    if (level & scl) { /* rise: a bit is read */
        if (b->soft_bits < 8)
            b->soft_byte = b->soft_byte << 1 | !!(level & sda);
        b->soft_bits++;
    } else if (b->soft_bits == 8) { /* fall before the answer */
        uint32_t to = b->soft_byte >> 1;
        int here = b->soft_first ? !!(b->device[to >> 5] >> (to & 31) & 1) : b->soft_ack;
        log_add(&b->log, c->t, b->soft_byte | (b->soft_first ? 0x100 : 0) | (here ? 0 : 0x400), level);
        b->soft_first = 0;
        b->soft_ack = here;
        if (here) {
            b->soft_pull = 1;
            c->pulled |= sda;
        }
    } else if (b->soft_bits >= 9) { /* fall after it */
        b->soft_bits = b->soft_byte = 0;
        if (b->soft_pull) {
            b->soft_pull = 0;
            c->pulled &= ~sda;
        }
    }
}

/* Work out the pins' levels anew, at time t. */
static void pins_changed(Chip *c) {
    uint32_t out = (c->out & c->sel_sio) | (c->pio[0].out & c->sel_pio[0]) | (c->pio[1].out & c->sel_pio[1]);
    uint32_t oe = (c->oe & c->sel_sio) | (c->pio[0].dir & c->sel_pio[0]) | (c->pio[1].dir & c->sel_pio[1]);
    for (uint32_t left = c->odd_over; left; left &= left - 1) {
        int n = __builtin_ctz(left);
        uint32_t bit = 1u << n, over = c->pin_ctrl[n] >> 8 & 3, oeover = c->pin_ctrl[n] >> 12 & 3;
        if (over)
            out = over == 1 ? out ^ bit : over == 2 ? out & ~bit : out | bit;
        if (oeover)
            oe = oeover == 1 ? oe ^ bit : oeover == 2 ? oe & ~bit : oe | bit;
    }
    oe &= ~c->od;
    uint32_t idle = (c->driven & c->drive) | (~c->driven & c->pue);
    uint32_t level = ((out & oe) | (idle & ~oe)) & ~c->pulled;
    uint32_t was = c->level, drove = c->driving;
    c->driving = oe;
    c->level = level;
    for (uint32_t left = c->watched & oe & ((level ^ was) | ~drove); left; left &= left - 1) {
        int n = __builtin_ctz(left);
        edge_add(&c->edges[n], c->t * CYCLE_NS, level >> n & 1);
    }
    uint32_t moved = level ^ was;
    if (!moved)
        return;
    for (uint32_t left = moved & c->ie; left; left &= left - 1) {
        int n = __builtin_ctz(left);
        if (n < 30)
            c->edge[n >> 3] |= (level >> n & 1 ? 8u : 4u) << 4 * (n & 7);
    }
    if (moved & c->ie && (c->inte[0][0] | c->inte[0][1] | c->inte[0][2] | c->inte[0][3])) pins_interrupt(c);
    pio_wake_pins(c);
    if (moved & c->softbus) {
        for (int n = 0; n < 2; n++)
            if (c->i2c[n].scl >= 0 && moved & (1u << c->i2c[n].scl | 1u << c->i2c[n].sda))
                soft_bus(c, &c->i2c[n], was, level);
        pins_changed(c); /* a device may have begun or ended to pull: ends, as nothing moves the second time */
    }
}

static void pins_select(Chip *c) {
    c->sel_sio = c->sel_pio[0] = c->sel_pio[1] = c->pue = c->pde = c->ie = c->od = c->odd_over = 0;
    for (int n = 0; n < 30; n++) {
        uint32_t bit = 1u << n, function = c->pin_ctrl[n] & 31;
        if (function == 5) c->sel_sio |= bit;
        if (function == 6) c->sel_pio[0] |= bit;
        if (function == 7) c->sel_pio[1] |= bit;
        if (c->pad[n] & 1 << 3) c->pue |= bit;
        if (c->pad[n] & 1 << 2) c->pde |= bit;
        if (c->pad[n] & 1 << 6) c->ie |= bit;
        if (c->pad[n] & 1 << 7) c->od |= bit;
        if (c->pin_ctrl[n] & 0x3300) c->odd_over |= bit;
    }
    pins_changed(c);
}

static void pins_reset(Chip *c) {
    for (int n = 0; n < 30; n++) {
        c->pin_ctrl[n] = 0x1f;
        c->pad[n] = 0x56;
    }
    memset(c->edge, 0, sizeof c->edge);
    memset(c->inte, 0, sizeof c->inte);
    memset(c->intf, 0, sizeof c->intf);
    pins_select(c);
    pins_interrupt(c);
}

static uint32_t io_read(Chip *c, uint32_t offset) {
    if (offset < 0xf0) {
        int n = offset >> 3;
        if (offset & 4)
            return c->pin_ctrl[n];
        uint32_t seen = c->level & c->ie;
        return (c->level >> n & 1) * (1 << 9 | 1 << 17) | (c->driving >> n & 1) << 13 | (seen >> n & 1) << 19;
    }
    int n = offset >> 2 & 3;
    uint32_t kind = offset & ~15u;
    if (kind == 0xf0) return pins_raw(c, n);
    if (kind == 0x100 || kind == 0x130) return c->inte[kind == 0x130][n];
    if (kind == 0x110 || kind == 0x140) return c->intf[kind == 0x140][n];
    if (kind == 0x120 || kind == 0x150) {
        int core = kind == 0x150;
        return (pins_raw(c, n) & c->inte[core][n]) | c->intf[core][n];
    }
    return 0;
}

static void io_write(Chip *c, uint32_t a, uint32_t value) {
    uint32_t offset = a & 0xfff;
    if (offset < 0xf0) {
        if (offset & 4) {
            c->pin_ctrl[offset >> 3] = alias(a, c->pin_ctrl[offset >> 3], value);
            pins_select(c);
        }
        return;
    }
    int n = offset >> 2 & 3;
    uint32_t kind = offset & ~15u;
    if (kind == 0xf0) c->edge[n] &= ~value;
    if (kind == 0x100 || kind == 0x130) c->inte[kind == 0x130][n] = alias(a, c->inte[kind == 0x130][n], value);
    if (kind == 0x110 || kind == 0x140) c->intf[kind == 0x140][n] = alias(a, c->intf[kind == 0x140][n], value);
    pins_interrupt(c);
}

static void pads_write(Chip *c, uint32_t a, uint32_t value) {
    uint32_t n = (a & 0xfff) >> 2;
    if (!n)
        c->voltage = alias(a, c->voltage, value);
    else if (n <= 30) {
        c->pad[n - 1] = alias(a, c->pad[n - 1], value) & 0xff;
        pins_select(c);
    }
}
