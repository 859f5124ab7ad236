/* The two PIO blocks (data sheet chapter 3), cycle by cycle of each machine's own clock. A machine that is held up by
 * a FIFO, a pin or a flag costs nothing until that changes; it then goes on at the next tick of its clock.
 * Left out: the input synchronisers' two cycles, OUT_STICKY and INLINE_OUT_EN. */

static uint64_t sm_due(const Machine *m) { return m->due == NEVER ? NEVER : (m->due + 255) >> 8; }

static void pio_due(Pio *p) {
    uint64_t due = NEVER;
    for (int n = 0; n < 4; n++) {
        uint64_t one = sm_due(&p->sm[n]);
        if (one < due) due = one;
    }
    p->due = due;
}

static uint32_t rev(uint32_t v) {
    v = (v >> 1 & 0x55555555) | (v & 0x55555555) << 1;
    v = (v >> 2 & 0x33333333) | (v & 0x33333333) << 2;
    v = (v >> 4 & 0x0f0f0f0f) | (v & 0x0f0f0f0f) << 4;
    return __builtin_bswap32(v);
}

static inline uint32_t rotr(uint32_t v, uint32_t n) { return n ? v >> n | v << (32 - n) : v; }
static inline uint32_t rotl(uint32_t v, uint32_t n) { return n ? v << n | v >> (32 - n) : v; }
static inline uint32_t ones(uint32_t n) { return n >= 32 ? 0xffffffff : (1u << n) - 1; }

static uint32_t tx_room(const Machine *m) { return m->shiftctrl >> 31 ? 0 : m->shiftctrl >> 30 & 1 ? 8 : 4; }
static uint32_t rx_room(const Machine *m) { return m->shiftctrl >> 30 & 1 ? 0 : m->shiftctrl >> 31 ? 8 : 4; }
static uint32_t threshold(uint32_t bits) { return bits & 31 ? bits & 31 : 32; }

/* Let a machine that is held up try again, at its first tick not before `from` (cycles). */
static void sm_wake(Pio *p, Machine *m, uint64_t from) {
    if (m->due != NEVER || !(m->enabled || m->is_forced))
        return;
    uint64_t at = from << 8;
    if (at > m->tick) {
        uint64_t ticks = (at - m->tick + m->div - 1) / m->div;
        m->due = m->tick + ticks * m->div;
    } else
        m->due = m->tick;
    uint64_t due = sm_due(m);
    if (due < p->due) p->due = due;
}

static void pio_wake_pins(Chip *c) {
    for (int k = 0; k < 2; k++)
        for (int n = 0; n < 4; n++)
            if (c->pio[k].sm[n].stalled == HELD_PIN)
                sm_wake(&c->pio[k], &c->pio[k].sm[n], c->t + c->in_devices);
}

static void pio_wake_irq(Chip *c, Pio *p) {
    for (int n = 0; n < 4; n++)
        if (p->sm[n].stalled == HELD_IRQ)
            sm_wake(p, &p->sm[n], c->t + 1);
    pio_interrupts(c, p);
}

static uint32_t pio_intr(const Pio *p) {
    uint32_t raw = (p->irq & 15) << 8;
    for (int n = 0; n < 4; n++) {
        if (p->sm[n].rx_n) raw |= 1u << n;
        if (p->sm[n].tx_n < tx_room(&p->sm[n])) raw |= 16u << n;
    }
    return raw;
}

static void pio_interrupts(Chip *c, Pio *p) {
    if (!(p->inte[0] | p->inte[1] | p->intf[0] | p->intf[1] | (c->lines >> (7 + 2 * p->number) & 3)))
        return;
    uint32_t raw = pio_intr(p);
    for (int n = 0; n < 2; n++)
        irq(c, 7 + 2 * p->number + n, !!((raw & p->inte[n]) | p->intf[n]));
}

static uint32_t tx_pop(Chip *c, Pio *p, Machine *m) {
    uint32_t value = m->tx[m->tx_at];
    m->tx_at = (m->tx_at + 1) & 7;
    m->tx_n--;
    dma_wake(c);
    pio_interrupts(c, p);
    return value;
}

static void rx_put(Chip *c, Pio *p, Machine *m, uint32_t value) {
    m->rx[(m->rx_at + m->rx_n++) & 7] = value;
    dma_wake(c);
    pio_interrupts(c, p);
}

/* From outside: a word for a machine, a word of it. */
static void pio_put(Chip *c, Pio *p, int n, uint32_t value) {
    Machine *m = &p->sm[n];
    if (m->tx_n >= tx_room(m)) {
        p->fdebug |= 1u << (16 + n);
        return;
    }
    m->tx[(m->tx_at + m->tx_n++) & 7] = value;
    if (m->stalled == HELD_TX)
        sm_wake(p, m, c->t + 1);
    pio_interrupts(c, p);
}

static uint32_t pio_get(Chip *c, Pio *p, int n) {
    Machine *m = &p->sm[n];
    if (!m->rx_n) {
        p->fdebug |= 1u << (8 + n);
        return m->rx[m->rx_at];
    }
    uint32_t value = m->rx[m->rx_at];
    m->rx_at = (m->rx_at + 1) & 7;
    m->rx_n--;
    if (m->stalled == HELD_RX)
        sm_wake(p, m, c->t + 1);
    pio_interrupts(c, p);
    return value;
}

static void put_pins(Pio *p, int base, int count, uint32_t value, int directions) {
    uint32_t mask = rotl(ones(count), base), bits = rotl(value & ones(count), base);
    if (directions)
        p->dir = (p->dir & ~mask) | bits;
    else
        p->out = (p->out & ~mask) | bits;
}

static uint32_t flag_of(uint32_t index, int sm) {
    return index & 16 ? (index & 4) | ((index + sm) & 3) : index & 7;
}

static inline uint32_t in_pins(Chip *c, Machine *m) { return rotr(c->level & c->ie, m->pinctrl >> 15 & 31); }

/* Executes one instruction. Returns what holds it up, or HELD_NOT; *next: where to go on. */
static int sm_execute(Chip *c, Pio *p, int n, uint32_t op, uint32_t *next) {
    Machine *m = &p->sm[n];
    uint32_t arg = op & 31, dest = op >> 5 & 7, value = 0;
    switch (op >> 13) {
        case 0: { /* JMP */
            int go = 1;
            switch (dest) {
                case 1: go = !m->x; break;
                case 2: go = !!m->x; m->x--; break;
                case 3: go = !m->y; break;
                case 4: go = !!m->y; m->y--; break;
                case 5: go = m->x != m->y; break;
                case 6: go = (c->level & c->ie) >> (m->execctrl >> 24 & 31) & 1; break;
                case 7: go = m->osr_n < threshold(m->shiftctrl >> 25); break;
            }
            if (go) *next = arg;
            return HELD_NOT;
        }
        case 1: { /* WAIT */
            uint32_t wanted = op >> 7 & 1;
            switch (op >> 5 & 3) {
                case 0: return ((c->level & c->ie) >> arg & 1) == wanted ? HELD_NOT : HELD_PIN;
                case 1: return (in_pins(c, m) >> arg & 1) == wanted ? HELD_NOT : HELD_PIN;
                case 2: {
                    uint32_t bit = 1u << flag_of(arg, n);
                    if (!!(p->irq & bit) != wanted) return HELD_IRQ;
                    if (wanted) {
                        p->irq &= ~bit;
                        pio_wake_irq(c, p);
                    }
                    return HELD_NOT;
                }
            }
            return HELD_NOT;
        }
        case 2: { /* IN */
            uint32_t count = threshold(arg);
            uint32_t after = m->isr_n + count > 32 ? 32 : m->isr_n + count;
            int full = m->shiftctrl >> 16 & 1 && after >= threshold(m->shiftctrl >> 20);
            if (full && m->rx_n >= rx_room(m)) {
                p->fdebug |= 1u << n;
                return HELD_RX;
            }
            switch (dest) {
                case 0: value = in_pins(c, m); break;
                case 1: value = m->x; break;
                case 2: value = m->y; break;
                case 6: value = m->isr; break;
                case 7: value = m->osr; break;
            }
            value &= ones(count);
            if (count == 32) m->isr = value;
            else if (m->shiftctrl >> 18 & 1) m->isr = m->isr >> count | value << (32 - count);
            else m->isr = m->isr << count | value;
            m->isr_n = after;
            if (full) {
                rx_put(c, p, m, m->isr);
                m->isr = m->isr_n = 0;
            }
            return HELD_NOT;
        }
        case 3: { /* OUT */
            uint32_t count = threshold(arg), limit = threshold(m->shiftctrl >> 25);
            if (m->shiftctrl >> 17 & 1 && m->osr_n >= limit) {
                if (!m->tx_n) {
                    p->fdebug |= 1u << (24 + n);
                    return HELD_TX;
                }
                m->osr = tx_pop(c, p, m);
                m->osr_n = 0;
                if (m->stalled == HELD_TX) return -1; /* the word came late: it is taken now, used a tick later */
            }
            if (m->shiftctrl >> 19 & 1) {
                value = m->osr & ones(count);
                m->osr = count == 32 ? 0 : m->osr >> count;
            } else {
                value = count == 32 ? m->osr : m->osr >> (32 - count);
                m->osr = count == 32 ? 0 : m->osr << count;
            }
            m->osr_n = m->osr_n + count > 32 ? 32 : m->osr_n + count;
            switch (dest) {
                case 0: put_pins(p, m->pinctrl & 31, m->pinctrl >> 20 & 63, value, 0); break;
                case 1: m->x = value; break;
                case 2: m->y = value; break;
                case 4: put_pins(p, m->pinctrl & 31, m->pinctrl >> 20 & 63, value, 1); break;
                case 5: *next = value & 31; break;
                case 6: m->isr = value; m->isr_n = count; break;
                case 7: m->forced = value & 0xffff; m->is_forced = 2; break;
            }
            if (m->shiftctrl >> 17 & 1 && m->osr_n >= limit && m->tx_n) {
                m->osr = tx_pop(c, p, m);
                m->osr_n = 0;
            }
            return HELD_NOT;
        }
        case 4: /* PUSH, PULL */
            if (!(op & 0x80)) {
                if (op & 0x40 && m->isr_n < threshold(m->shiftctrl >> 20)) return HELD_NOT;
                if (m->rx_n >= rx_room(m)) {
                    p->fdebug |= 1u << n;
                    if (op & 0x20) return HELD_RX;
                } else
                    rx_put(c, p, m, m->isr);
                m->isr = m->isr_n = 0;
                return HELD_NOT;
            }
            if (op & 0x40 && m->osr_n < threshold(m->shiftctrl >> 25)) return HELD_NOT;
            if (m->shiftctrl >> 17 & 1 && !m->osr_n) return HELD_NOT;
            if (!m->tx_n) {
                if (op & 0x20) {
                    p->fdebug |= 1u << (24 + n);
                    return HELD_TX;
                }
                m->osr = m->x;
            } else
                m->osr = tx_pop(c, p, m);
            m->osr_n = 0;
            return HELD_NOT;
        case 5: /* MOV */
            switch (op & 7) {
                case 0: value = in_pins(c, m); break;
                case 1: value = m->x; break;
                case 2: value = m->y; break;
                case 5: {
                    uint32_t level = m->execctrl >> 4 & 1 ? m->rx_n : m->tx_n;
                    value = level < (m->execctrl & 15) ? 0xffffffff : 0;
                    break;
                }
                case 6: value = m->isr; break;
                case 7: value = m->osr; break;
            }
            if ((op >> 3 & 3) == 1) value = ~value;
            if ((op >> 3 & 3) == 2) value = rev(value);
            switch (dest) {
                case 0: put_pins(p, m->pinctrl & 31, m->pinctrl >> 20 & 63, value, 0); break;
                case 1: m->x = value; break;
                case 2: m->y = value; break;
                case 4: m->forced = value & 0xffff; m->is_forced = 2; break;
                case 5: *next = value & 31; break;
                case 6: m->isr = value; m->isr_n = 0; break;
                case 7: m->osr = value; m->osr_n = 0; break;
            }
            return HELD_NOT;
        case 6: { /* IRQ */
            uint32_t bit = 1u << flag_of(arg, n);
            if (op & 0x40) {
                p->irq &= ~bit;
                pio_wake_irq(c, p);
                return HELD_NOT;
            }
            if (!m->waits_irq) {
                p->irq |= bit;
                pio_wake_irq(c, p);
                if (!(op & 0x20)) return HELD_NOT;
                m->waits_irq = 1;
                return HELD_IRQ;
            }
            if (p->irq & bit) return HELD_IRQ;
            m->waits_irq = 0;
            return HELD_NOT;
        }
        case 7: /* SET */
            switch (dest) {
                case 0: put_pins(p, m->pinctrl >> 5 & 31, m->pinctrl >> 26 & 7, arg, 0); break;
                case 1: m->x = arg; break;
                case 2: m->y = arg; break;
                case 4: put_pins(p, m->pinctrl >> 5 & 31, m->pinctrl >> 26 & 7, arg, 1); break;
            }
            return HELD_NOT;
    }
    return HELD_NOT;
}

/* One tick of a machine: executes, sets the side pins, and says when it ticks next. Returns whether pins may differ. */
static void sm_tick(Chip *c, Pio *p, int n) {
    Machine *m = &p->sm[n];
    uint32_t out = p->out, dir = p->dir;
    int from_outside = m->is_forced;
    uint32_t op = from_outside ? m->forced : p->mem[m->pc], delay = op >> 8 & 31;
    uint32_t next = from_outside ? m->pc : m->pc == (m->execctrl >> 12 & 31) ? m->execctrl >> 7 & 31 : (m->pc + 1) & 31;
    if (m->shiftctrl >> 17 & 1 && m->tx_n && op >> 13 != 3 && (op & 0xe080) != 0x8080
        && m->osr_n >= threshold(m->shiftctrl >> 25)) {
        m->osr = tx_pop(c, p, m);
        m->osr_n = 0;
    }
    m->is_forced = 0;
    int held = sm_execute(c, p, n, op, &next);
    uint32_t sides = m->pinctrl >> 29;
    if (sides) {
        uint32_t bits = delay >> (5 - sides), optional = m->execctrl >> 30 & 1;
        delay &= ones(5 - sides);
        if (!optional || bits >> (sides - 1))
            put_pins(p, m->pinctrl >> 10 & 31, sides - optional, bits, m->execctrl >> 29 & 1);
    }
    if (held != HELD_NOT) {
        m->is_forced = from_outside;
        m->stalled = held > 0 ? held : HELD_NOT;
        m->tick = m->due;
        m->due = held > 0 ? NEVER : m->tick + m->div;
    } else {
        m->stalled = HELD_NOT;
        m->pc = next;
        if (m->is_forced == 2) delay = 0; /* OUT EXEC and MOV EXEC: their own delay is ignored */
        m->tick = m->due;
        m->due += (uint64_t)m->div * (1 + delay);
    }
    if (!m->enabled && !m->is_forced) m->due = NEVER;
    if (p->out != out || p->dir != dir) pins_changed(c);
}
