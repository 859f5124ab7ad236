/* A PIO block: its machines in turn, and its registers (data sheet 3.7). */

static void pio_run(Chip *c, Pio *p) {
    for (int n = 0; n < 4; n++)
        if (sm_due(&p->sm[n]) <= c->t) sm_tick(c, p, n);
    pio_due(p);
}

/* An instruction written to SMx_INSTR: executed at once, whatever the machine is doing. */
static void sm_force(Chip *c, Pio *p, int n, uint32_t op) {
    Machine *m = &p->sm[n];
    uint64_t due = m->due, tick = m->tick;
    uint8_t stalled = m->stalled, waits = m->waits_irq;
    m->forced = op & 0xffff;
    m->is_forced = 1;
    m->due = c->t << 8;
    m->stalled = m->waits_irq = 0;
    sm_tick(c, p, n);
    m->tick = tick;
    if (!m->is_forced) {
        m->stalled = stalled;
        m->waits_irq = waits;
        m->due = m->enabled && !stalled ? due : NEVER;
        if (stalled) sm_wake(p, m, c->t + 1); /* what held the program up may be gone, or the program be elsewhere */
    } else if (m->is_forced == 2)
        m->due = (c->t + 1) << 8;
    pio_due(p);
}

static void sm_clock(Machine *m) {
    uint32_t whole = m->clkdiv >> 16, part = m->clkdiv >> 8 & 255;
    m->div = whole ? whole << 8 | part : 65536u << 8;
}

static void sm_restart(Machine *m) {
    m->isr_n = 0;
    m->osr_n = 32;
    m->isr = 0;
    m->is_forced = m->stalled = m->waits_irq = 0;
}

static void sm_rephase(Chip *c, Machine *m) {
    m->tick = (c->t + 1) << 8;
    if (m->enabled) m->due = m->tick;
}

static void pio_control(Chip *c, Pio *p, uint32_t value) {
    for (int n = 0; n < 4; n++) {
        Machine *m = &p->sm[n];
        int on = value >> n & 1, was = m->enabled;
        if (value >> (4 + n) & 1) {
            sm_restart(m);
            if (was && on) m->due = (c->t + 1) << 8;
        }
        m->enabled = on;
        if (!on) m->due = NEVER;
        if ((on && !was) || value >> (8 + n) & 1) sm_rephase(c, m);
    }
    pio_due(p);
}

static uint32_t pio_read(Chip *c, Pio *p, uint32_t o) {
    uint32_t value = 0;
    if (o >= 0x20 && o < 0x30) return pio_get(c, p, (o - 0x20) >> 2);
    if (o >= 0xc8 && o < 0x128) {
        Machine *m = &p->sm[(o - 0xc8) / 24];
        switch ((o - 0xc8) % 24) {
            case 0: return m->clkdiv;
            case 4: return (m->execctrl & 0x7fffffff) | (m->is_forced ? 1u << 31 : 0);
            case 8: return m->shiftctrl;
            case 12: return m->pc;
            case 16: return m->is_forced ? m->forced : p->mem[m->pc];
            case 20: return m->pinctrl;
        }
    }
    switch (o) {
        case 0x00:
            for (int n = 0; n < 4; n++) value |= (uint32_t)p->sm[n].enabled << n;
            return value;
        case 0x04:
            for (int n = 0; n < 4; n++) {
                Machine *m = &p->sm[n];
                value |= (uint32_t)(m->rx_n >= rx_room(m)) << n | (uint32_t)!m->rx_n << (8 + n)
                         | (uint32_t)(m->tx_n >= tx_room(m)) << (16 + n) | (uint32_t)!m->tx_n << (24 + n);
            }
            return value;
        case 0x08: return p->fdebug;
        case 0x0c:
            for (int n = 0; n < 4; n++)
                value |= (p->sm[n].tx_n & 15) << 8 * n | (p->sm[n].rx_n & 15) << (8 * n + 4);
            return value;
        case 0x30: return p->irq;
        case 0x38: return p->bypass;
        case 0x3c: return p->out;
        case 0x40: return p->dir;
        case 0x44: return 32u << 16 | 4 << 8 | 4;
        case 0x128: return pio_intr(p);
        case 0x12c: return p->inte[0];
        case 0x130: return p->intf[0];
        case 0x134: return (pio_intr(p) & p->inte[0]) | p->intf[0];
        case 0x138: return p->inte[1];
        case 0x13c: return p->intf[1];
        case 0x140: return (pio_intr(p) & p->inte[1]) | p->intf[1];
    }
    return 0;
}

static void sm_write(Chip *c, Pio *p, int n, uint32_t a, uint32_t o, uint32_t value) {
    Machine *m = &p->sm[n];
    uint32_t old = m->shiftctrl;
    switch (o) {
        case 0: m->clkdiv = alias(a, m->clkdiv, value); sm_clock(m); break;
        case 4: m->execctrl = alias(a, m->execctrl, value) & 0x7fffffff; break;
        case 8:
            m->shiftctrl = alias(a, old, value);
            if ((old ^ m->shiftctrl) >> 30) m->tx_n = m->rx_n = 0; /* joining empties both FIFOs */
            dma_wake(c);
            pio_interrupts(c, p);
            break;
        case 16: sm_force(c, p, n, value); break;
        case 20: m->pinctrl = alias(a, m->pinctrl, value); break;
    }
}

static void pio_write(Chip *c, Pio *p, uint32_t a, uint32_t value) {
    uint32_t o = a & 0xfff;
    if (o >= 0x10 && o < 0x20) {
        pio_put(c, p, (o - 0x10) >> 2, value);
        return;
    }
    if (o >= 0x48 && o < 0xc8) {
        p->mem[(o - 0x48) >> 2] = value & 0xffff;
        return;
    }
    if (o >= 0xc8 && o < 0x128) {
        sm_write(c, p, (o - 0xc8) / 24, a, (o - 0xc8) % 24, value);
        return;
    }
    switch (o) {
        case 0x00: pio_control(c, p, alias(a, pio_read(c, p, 0), value)); dma_wake(c); break;
        case 0x08: p->fdebug &= ~value; break;
        case 0x30: p->irq &= ~value; pio_wake_irq(c, p); break;
        case 0x34: p->irq |= value & 255; pio_wake_irq(c, p); break;
        case 0x38: p->bypass = alias(a, p->bypass, value); break;
        case 0x12c: p->inte[0] = alias(a, p->inte[0], value); break;
        case 0x130: p->intf[0] = alias(a, p->intf[0], value); break;
        case 0x138: p->inte[1] = alias(a, p->inte[1], value); break;
        case 0x13c: p->intf[1] = alias(a, p->intf[1], value); break;
    }
    if (o >= 0x12c) {
        uint32_t raw = pio_intr(p);
        for (int n = 0; n < 2; n++)
            irq(c, 7 + 2 * p->number + n, !!((raw & p->inte[n]) | p->intf[n]));
    }
}

static void pio_reset(Chip *c, int number) {
    Pio *p = &c->pio[number];
    memset(p, 0, sizeof *p);
    p->number = number;
    for (int n = 0; n < 4; n++) {
        Machine *m = &p->sm[n];
        m->clkdiv = 1 << 16;
        m->execctrl = 31 << 12;
        m->shiftctrl = 3 << 18;
        m->pinctrl = 5 << 26;
        m->osr_n = 32;
        m->due = NEVER;
        m->tick = c->t << 8;
        sm_clock(m);
    }
    p->due = NEVER;
    irq(c, 7 + 2 * number, 0);
    irq(c, 8 + 2 * number, 0);
    pins_changed(c);
}
