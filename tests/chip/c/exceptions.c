/* Interrupts, faults and sleep of the Cortex-M0+ (ARMv6-M, ARM DDI 0419). Entry takes 15 cycles (TRM 3.6.1); return 13,
 * from memory. */

enum { ENTRY_CYCLES = 15, RETURN_CYCLES = 13 };

static void irq(Chip *c, int number, int level) {
    uint32_t bit = 1u << number;
    if (level) {
        if (!(c->lines & bit)) {
            c->lines |= bit;
            c->pending |= bit;
            c->check = 1;
        }
    } else
        c->lines &= ~bit;
}

/* Lower is more urgent; 4: nothing. */
static int priority_of(const Chip *c, int exception) {
    if (exception >= 16) return c->priority[exception - 16];
    switch (exception) {
        case 2: return -2;
        case 3: return -1;
        case 11: return c->shpr2 >> 30;
        case 14: return c->shpr3 >> 22 & 3;
        case 15: return c->shpr3 >> 30;
    }
    return 4;
}

static int running_priority(const Chip *c) {
    int lowest = 4;
    for (uint64_t left = c->active; left; left &= left - 1) {
        int p = priority_of(c, __builtin_ctzll(left));
        if (p < lowest) lowest = p;
    }
    return lowest;
}

static int most_urgent(const Chip *c, int *priority) {
    int best = 0, urgent = 4;
    if (c->pend_nmi) best = 2, urgent = -2;
    if (c->pend_svc && priority_of(c, 11) < urgent) best = 11, urgent = priority_of(c, 11);
    if (c->pend_sv && priority_of(c, 14) < urgent) best = 14, urgent = priority_of(c, 14);
    if (c->pend_tick && priority_of(c, 15) < urgent) best = 15, urgent = priority_of(c, 15);
    for (uint32_t left = c->pending & c->enabled; left; left &= left - 1) {
        int n = __builtin_ctz(left);
        if (c->priority[n] < urgent) best = 16 + n, urgent = c->priority[n];
    }
    *priority = urgent;
    return best;
}

static uint32_t flags(const Chip *c) { return c->n << 31 | c->z << 30 | c->cy << 29 | c->v << 28; }

static void set_flags(Chip *c, uint32_t psr) {
    c->n = psr >> 31;
    c->z = psr >> 30 & 1;
    c->cy = psr >> 29 & 1;
    c->v = psr >> 28 & 1;
}

static void enter(Chip *c, int exception, uint32_t back) {
    int psp = c->control & 2 && !c->ipsr;
    uint32_t sp = c->r[13], aligned = sp & 4, frame = (sp - 32) & ~4u;
    uint32_t words[8] = {c->r[0], c->r[1], c->r[2], c->r[3], c->r[12], c->r[14], back,
                         flags(c) | 1u << 24 | aligned << 7 | c->ipsr};
    for (int n = 0; n < 8; n++) bus_write(c, frame + 4 * n, words[n], 4);
    c->r[13] = frame;
    if (psp) {
        c->psp = frame;
        c->r[13] = c->msp;
    }
    c->r[14] = c->ipsr ? 0xfffffff1 : psp ? 0xfffffffd : 0xfffffff9;
    c->control &= ~2u;
    c->ipsr = exception;
    c->active |= 1ull << exception;
    c->r[15] = bus_read(c, c->vtor + 4 * exception, 4) & ~1u;
    c->event = 1;
    c->check = 1;
    c->now += ENTRY_CYCLES + c->wait;
    c->wait = 0;
}

static void leave(Chip *c, uint32_t how) {
    uint32_t was = c->ipsr;
    c->active &= ~(1ull << was);
    if (was >= 16 && c->lines >> (was - 16) & 1) c->pending |= 1u << (was - 16);
    if ((how & 15) == 13) {
        c->msp = c->r[13];
        c->r[13] = c->psp;
        c->control |= 2;
    }
    uint32_t frame = c->r[13], word[8];
    for (int n = 0; n < 8; n++) word[n] = bus_read(c, frame + 4 * n, 4);
    memcpy(c->r, word, 16);
    c->r[12] = word[4];
    c->r[14] = word[5];
    c->r[15] = word[6] & ~1u;
    set_flags(c, word[7]);
    c->ipsr = word[7] & 63;
    c->r[13] = (frame + 32) | (word[7] >> 9 & 1) << 2;
    c->event = 1;
    c->check = 1;
    c->now += RETURN_CYCLES;
}

static void fault(Chip *c) {
    if (running_priority(c) <= -1) {
        c->stop |= STOP_LOCKUP;
        return;
    }
    enter(c, 3, c->r[15]);
}

/* Take what is due. */
static void exceptions(Chip *c) {
    int priority, exception = most_urgent(c, &priority);
    c->check = 0;
    if (c->asleep) {
        int wakes = exception && priority < running_priority(c);
        if (c->asleep == 2 && c->scr >> 4 & 1 && c->pending) c->event = 1;
        if (wakes || (c->asleep == 2 && c->event)) {
            if (c->asleep == 2) c->event = 0;
            c->asleep = 0;
        } else
            return;
    }
    if (!exception) return;
    if (c->primask && exception != 2) return;
    if (priority >= running_priority(c)) return;
    if (exception == 2) c->pend_nmi = 0;
    if (exception == 11) c->pend_svc = 0;
    if (exception == 14) c->pend_sv = 0;
    if (exception == 15) c->pend_tick = 0;
    if (exception >= 16) c->pending &= ~(1u << (exception - 16));
    enter(c, exception, c->r[15]);
}
