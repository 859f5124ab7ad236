/* DMA (data sheet 2.5): twelve channels, one transfer a cycle, the channels in turn. A transfer reads and writes in the
 * same cycle; a chip's takes a few cycles more from request to write. The sniffer is left out. */

enum { CTRL_EN = 1, CTRL_QUIET = 1 << 21, CTRL_BUSY = 1 << 24, IRQ_DMA = 11 };

static void dma_interrupts(Chip *c) {
    for (int n = 0; n < 2; n++)
        irq(c, IRQ_DMA + n, !!((c->dma.intr & c->dma.inte[n]) | c->dma.intf[n]));
}

static void dma_wake(Chip *c) {
    if (c->dma.due > c->t + 1) c->dma.due = c->t + 1;
}

static int spi_wants(const Spi *s, int rx);

/* Whether what paces a channel lets a transfer through now. */
static int dma_ready(Chip *c, Channel *ch) {
    uint32_t request = ch->ctrl >> 15 & 63;
    if (!ch->count) return 1;
    if (request < 16) {
        Pio *p = &c->pio[request >> 3];
        Machine *m = &p->sm[request & 3];
        return request & 4 ? m->rx_n > 0 : m->tx_n < tx_room(m);
    }
    if (request < 20) return spi_wants(&c->spi[(request - 16) >> 1], request & 1);
    if (request == 0x3f) return 1;
    if (request >= 0x3b) return c->t >= ch->paced;
    return 0;
}

static void dma_start(Chip *c, int n) {
    Channel *ch = &c->dma.ch[n];
    if (!(ch->ctrl & CTRL_EN) || ch->busy) return;
    ch->count = ch->reload;
    ch->busy = 1;
    ch->paced = 0;
    dma_wake(c);
}

static void dma_done(Chip *c, int n) {
    Channel *ch = &c->dma.ch[n];
    ch->busy = 0;
    if (!(ch->ctrl & CTRL_QUIET)) {
        c->dma.intr |= 1u << n;
        dma_interrupts(c);
    }
    int next = ch->ctrl >> 11 & 15;
    if (next != n && next < 12) dma_start(c, next);
}

static uint32_t dma_step(uint32_t address, uint32_t size, uint32_t ring) {
    if (!ring) return address + size;
    uint32_t mask = (1u << ring) - 1;
    return (address & ~mask) | ((address + size) & mask);
}

static void dma_transfer(Chip *c, int n) {
    Channel *ch = &c->dma.ch[n];
    if (!ch->count) { /* started with nothing to do */
        dma_done(c, n);
        return;
    }
    uint32_t ctrl = ch->ctrl, size = 1u << (ctrl >> 2 & 3), ring = ctrl >> 6 & 15;
    uint32_t request = ctrl >> 15 & 63;
    uint32_t from = ch->read, to = ch->write;
    if (size > 4) size = 4;
    if (ctrl & 16) ch->read = dma_step(from, size, ctrl >> 10 & 1 ? 0 : ring);
    if (ctrl & 32) ch->write = dma_step(to, size, ctrl >> 10 & 1 ? ring : 0);
    if (request >= 0x3b && request < 0x3f) {
        uint32_t pace = c->dma.timer[request - 0x3b];
        ch->paced = c->t + (pace >> 16 ? (pace & 0xffff) / (pace >> 16) : 1);
    }
    ch->count--;
    uint32_t value = bus_read(c, from, size);
    if (ctrl >> 22 & 1) value = size == 4 ? __builtin_bswap32(value) : size == 2 ? __builtin_bswap16(value) : value;
    int last = !ch->count;
    bus_write(c, to, value, size);
    if (last && ch->busy) dma_done(c, n);
}

/* One transfer, if any channel is ready; says when to look again. */
static void dma_run(Chip *c) {
    Dma *d = &c->dma;
    d->due = NEVER;
    uint64_t paced = NEVER;
    int chosen = -1, more = 0;
    for (int high = 1; high >= 0; high--)
        for (int k = 1; k <= 12; k++) {
            int n = (d->last + k) % 12;
            Channel *ch = &d->ch[n];
            if (!ch->busy || !(ch->ctrl & CTRL_EN) || (int)(ch->ctrl >> 1 & 1) != high) continue;
            if (!dma_ready(c, ch)) {
                if ((ch->ctrl >> 15 & 63) >= 0x3b && ch->paced < paced) paced = ch->paced;
                continue;
            }
            if (chosen < 0) chosen = n;
            else more = 1;
        }
    if (chosen >= 0) {
        d->last = chosen;
        dma_transfer(c, chosen);
        Channel *ch = &d->ch[chosen];
        if (more || (ch->busy && dma_ready(c, ch))) dma_wake(c);
        else if (ch->busy && (ch->ctrl >> 15 & 63) >= 0x3b && ch->paced < paced) paced = ch->paced;
    }
    if (paced < d->due) d->due = paced;
}

/* The fields by alias: 0 READ, 1 WRITE, 2 COUNT, 3 CTRL; the last of each row starts the channel. */
static const uint8_t dma_field[16] = {0, 1, 2, 3, 3, 0, 1, 2, 3, 2, 0, 1, 3, 1, 2, 0};

static uint32_t dma_read(Chip *c, uint32_t o) {
    Dma *d = &c->dma;
    if (o < 0x300) {
        Channel *ch = &d->ch[o >> 6];
        switch (dma_field[o >> 2 & 15]) {
            case 0: return ch->read;
            case 1: return ch->write;
            case 2: return ch->count;
            default: return ch->ctrl | (ch->busy ? CTRL_BUSY : 0);
        }
    }
    switch (o) {
        case 0x400: return d->intr;
        case 0x404: return d->inte[0];
        case 0x408: return d->intf[0];
        case 0x40c: return (d->intr & d->inte[0]) | d->intf[0];
        case 0x414: return d->inte[1];
        case 0x418: return d->intf[1];
        case 0x41c: return (d->intr & d->inte[1]) | d->intf[1];
        case 0x420: case 0x424: case 0x428: case 0x42c: return d->timer[o >> 2 & 3];
        case 0x434: return d->sniff_ctrl;
        case 0x438: return d->sniff_data;
        case 0x448: return 12;
    }
    if (o >= 0x800 && o < 0xb00) return o & 4 ? d->ch[(o - 0x800) >> 6].reload : 0;
    return 0;
}

static void dma_write(Chip *c, uint32_t a, uint32_t value) {
    Dma *d = &c->dma;
    uint32_t o = a & 0xfff;
    if (o < 0x300) {
        int n = o >> 6, row = o >> 2 & 15;
        Channel *ch = &d->ch[n];
        value = alias(a, dma_read(c, o), value);
        switch (dma_field[row]) {
            case 0: ch->read = value; break;
            case 1: ch->write = value; break;
            case 2: ch->reload = value; break;
            default: ch->ctrl = value & 0xffffff; dma_wake(c); break;
        }
        if ((row & 3) == 3) {
            if (value) dma_start(c, n);
            else if (ch->ctrl & CTRL_QUIET) { /* a null trigger */
                d->intr |= 1u << n;
                dma_interrupts(c);
            }
        }
        return;
    }
    switch (o) {
        case 0x400: case 0x40c: case 0x41c: d->intr &= ~value; break;
        case 0x404: d->inte[0] = alias(a, d->inte[0], value) & 0xfff; break;
        case 0x408: d->intf[0] = alias(a, d->intf[0], value) & 0xfff; break;
        case 0x414: d->inte[1] = alias(a, d->inte[1], value) & 0xfff; break;
        case 0x418: d->intf[1] = alias(a, d->intf[1], value) & 0xfff; break;
        case 0x420: case 0x424: case 0x428: case 0x42c: d->timer[o >> 2 & 3] = value; break;
        case 0x430:
            for (int n = 0; n < 12; n++)
                if (value >> n & 1) dma_start(c, n);
            break;
        case 0x434: d->sniff_ctrl = alias(a, d->sniff_ctrl, value); break;
        case 0x438: d->sniff_data = alias(a, d->sniff_data, value); break;
        case 0x444:
            for (int n = 0; n < 12; n++)
                if (value >> n & 1) d->ch[n].busy = 0;
            break;
    }
    dma_interrupts(c);
}

static void dma_reset(Chip *c) {
    memset(&c->dma, 0, sizeof c->dma);
    for (int n = 0; n < 12; n++) c->dma.ch[n].ctrl = (uint32_t)n << 11;
    c->dma.due = NEVER;
    dma_interrupts(c);
}
