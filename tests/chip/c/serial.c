/* SPI (PL022, data sheet 4.4) and I2C (DW_apb_i2c, data sheet 4.3) as masters: FIFOs, and the time that the bus takes.
 * clk_peri is taken to be clk_sys. What goes out is kept for a test to decode. */

enum { IRQ_SPI = 18, IRQ_I2C = 23 };

/* With SPH = 0 the PL022 lifts its own select between words. PL022's TRM shows it; that it takes one and a half bits is
 * from memory. */
#define SPI_GAP_HALF_BITS 3

static int spi_wants(const Spi *s, int rx) {
    if (rx) return s->dmacr & 1 && s->rx_n > 0;
    return s->dmacr & 2 && s->tx_n < 8;
}

static void spi_interrupts(Chip *c, Spi *s) {
    uint32_t raw = (s->ris & 3) | (s->rx_n >= 4 ? 4 : 0) | (s->tx_n <= 4 ? 8 : 0);
    irq(c, IRQ_SPI + s->number, !!(raw & s->imsc));
}

static void spi_begin(Chip *c, Spi *s, uint64_t at) {
    s->word = s->tx[s->tx_at];
    s->tx_at = (s->tx_at + 1) & 7;
    s->tx_n--;
    s->shifting = 1;
    log_add(&s->log, at, s->word, c->level);
    uint32_t bit = s->cpsr * (1 + (s->cr0 >> 8 & 255)); /* cycles */
    uint32_t bits = (s->cr0 & 15) + 1;
    if (!bit) bit = 2;
    s->due = at + (uint64_t)bit * bits + (s->cr0 & 0x80 ? 0 : bit * SPI_GAP_HALF_BITS / 2);
    dma_wake(c);
}

static void spi_run(Chip *c, Spi *s) {
    uint64_t at = s->due;
    s->shifting = 0;
    s->due = NEVER;
    uint16_t in = s->cr1 & 1 ? s->word : 0;
    if (s->rx_n < 8) s->rx[(s->rx_at + s->rx_n++) & 7] = in;
    else s->ris |= 1;
    dma_wake(c);
    if (s->tx_n) spi_begin(c, s, at);
    spi_interrupts(c, s);
}

static uint32_t spi_read(Chip *c, Spi *s, uint32_t o) {
    switch (o) {
        case 0x00: return s->cr0;
        case 0x04: return s->cr1;
        case 0x08: {
            uint32_t value = s->rx[s->rx_at];
            if (s->rx_n) {
                s->rx_at = (s->rx_at + 1) & 7;
                s->rx_n--;
                spi_interrupts(c, s);
            }
            return value;
        }
        case 0x0c:
            return (s->tx_n == 0) | (s->tx_n < 8) << 1 | (s->rx_n > 0) << 2 | (s->rx_n == 8) << 3
                   | (s->shifting || s->tx_n) << 4;
        case 0x10: return s->cpsr;
        case 0x14: return s->imsc;
        case 0x18: return (s->ris & 3) | (s->rx_n >= 4 ? 4 : 0) | (s->tx_n <= 4 ? 8 : 0);
        case 0x1c: return ((s->ris & 3) | (s->rx_n >= 4 ? 4 : 0) | (s->tx_n <= 4 ? 8 : 0)) & s->imsc;
        case 0x24: return s->dmacr;
        case 0xfe0: return 0x22;
        case 0xfe4: return 0x10;
        case 0xfe8: return 0x34;
    }
    return 0;
}

static void spi_write(Chip *c, Spi *s, uint32_t a, uint32_t value) {
    switch (a & 0xfff) {
        case 0x00: s->cr0 = alias(a, s->cr0, value) & 0xffff; break;
        case 0x04: s->cr1 = alias(a, s->cr1, value) & 15; break;
        case 0x08:
            if (s->tx_n < 8) s->tx[(s->tx_at + s->tx_n++) & 7] = value & ((2u << (s->cr0 & 15)) - 1);
            break;
        case 0x10: s->cpsr = alias(a, s->cpsr, value) & 0xfe; break;
        case 0x14: s->imsc = alias(a, s->imsc, value) & 15; break;
        case 0x20: s->ris &= ~(value & 3); break;
        case 0x24: s->dmacr = alias(a, s->dmacr, value) & 3; dma_wake(c); break;
    }
    if (s->cr1 & 2 && !s->shifting && s->tx_n) spi_begin(c, s, c->t);
    spi_interrupts(c, s);
}

static void spi_reset(Chip *c, int number) {
    Log log = c->spi[number].log;
    memset(&c->spi[number], 0, sizeof c->spi[number]);
    c->spi[number].log = log;
    c->spi[number].number = number;
    c->spi[number].due = NEVER;
    spi_interrupts(c, &c->spi[number]);
}

/* I2C. Bits of the raw interrupts. */
enum { RX_UNDER = 1, RX_FULL = 4, TX_OVER = 8, TX_EMPTY = 16, TX_ABRT = 64 };
enum { ACTIVITY = 256, STOP_DET = 512, START_DET = 1024 };
enum { STEP_NONE, STEP_START, STEP_BYTE, STEP_STOP };

static uint32_t i2c_raw(const I2c *b) {
    uint32_t raw = b->raw;
    if (b->enable & 1) {
        if (b->rx_n > b->rx_tl) raw |= RX_FULL;
        /* TX_EMPTY_CTRL (CON bit 8): only when the byte has left the shift register too */
        if (b->tx_n <= b->tx_tl && !(b->con >> 8 & 1 && b->busy)) raw |= TX_EMPTY;
    }
    return raw;
}

static void i2c_interrupts(Chip *c, I2c *b) { irq(c, IRQ_I2C + b->number, !!(i2c_raw(b) & b->mask)); }

/* Cycles of one bit: SCL high is HCNT + SPKLEN + 7, low LCNT + 1 (data sheet 4.3.14.1, from memory). */
static uint64_t i2c_bit(const I2c *b) {
    int fast = (b->con >> 1 & 3) != 1;
    return (fast ? b->fs_h : b->ss_h) + b->spklen + 7 + (fast ? b->fs_l : b->ss_l) + 1;
}

static int i2c_there(const I2c *b) { return b->device[b->tar >> 5 & 3] >> (b->tar & 31) & 1; }

/* What the bus does next: a START with the address, a byte, a STOP. Sets when that is over. */
static void i2c_next(I2c *b, uint64_t at) {
    b->busy = STEP_NONE;
    b->due = NEVER;
    if (b->ends) {
        b->busy = STEP_STOP;
        b->due = at + i2c_bit(b);
        return;
    }
    if (!(b->enable & 1) || !b->tx_n) return;
    uint32_t word = b->tx[b->tx_at];
    if (!b->on_bus || word >> 10 & 1 || (b->on_bus && b->reading != (word >> 8 & 1))) {
        b->busy = STEP_START;
        b->reading = word >> 8 & 1;
        b->tx[b->tx_at] &= ~(1u << 10);
        b->due = at + i2c_bit(b) * 10; /* the START, eight bits, the answer */
        return;
    }
    b->word = word;
    b->tx_at = (b->tx_at + 1) & 15;
    b->tx_n--;
    b->busy = STEP_BYTE;
    b->due = at + i2c_bit(b) * 9;
}

static void i2c_run(Chip *c, I2c *b) {
    uint64_t at = b->due;
    switch (b->busy) {
        case STEP_START:
            b->on_bus = 1;
            b->raw |= START_DET | ACTIVITY;
            log_add(&b->log, at, (b->tar & 127) << 1 | b->reading | 0x100 | (i2c_there(b) ? 0 : 0x400), c->level);
            if (!i2c_there(b)) { /* 7B_ADDR_NOACK: the FIFO is emptied, a STOP follows */
                b->abort |= 1 | b->tx_n << 23;
                b->raw |= TX_ABRT;
                b->tx_n = 0;
                b->ends = 1;
            }
            break;
        case STEP_BYTE:
            if (b->word >> 8 & 1) {
                if (b->rx_n < 16) b->rx[(b->rx_at + b->rx_n++) & 15] = 0xff;
            } else
                log_add(&b->log, at, b->word & 255, c->level);
            if (b->word >> 9 & 1) b->ends = 1;
            break;
        case STEP_STOP:
            b->ends = b->on_bus = 0;
            b->raw |= STOP_DET;
            b->raw &= ~ACTIVITY;
            log_add(&b->log, at, 0x200, c->level);
            break;
    }
    i2c_next(b, at);
    i2c_interrupts(c, b);
}

static uint32_t i2c_read(Chip *c, I2c *b, uint32_t o) {
    uint32_t value, clear = 0;
    switch (o) {
        case 0x00: return b->con;
        case 0x04: return b->tar;
        case 0x10:
            value = b->rx[b->rx_at];
            if (b->rx_n) {
                b->rx_at = (b->rx_at + 1) & 15;
                b->rx_n--;
                i2c_interrupts(c, b);
            } else
                b->raw |= RX_UNDER;
            return value;
        case 0x14: return b->ss_h;
        case 0x18: return b->ss_l;
        case 0x1c: return b->fs_h;
        case 0x20: return b->fs_l;
        case 0x2c: return i2c_raw(b) & b->mask;
        case 0x30: return b->mask;
        case 0x34: return i2c_raw(b);
        case 0x38: return b->rx_tl;
        case 0x3c: return b->tx_tl;
        case 0x40: clear = RX_UNDER | TX_OVER | TX_ABRT | STOP_DET | START_DET | ACTIVITY; break;
        case 0x44: clear = RX_UNDER; break;
        case 0x4c: clear = TX_OVER; break;
        case 0x54: clear = TX_ABRT; break;
        case 0x5c: clear = ACTIVITY; break;
        case 0x60: clear = STOP_DET; break;
        case 0x64: clear = START_DET; break;
        case 0x6c: return b->enable;
        case 0x70:
            return (b->busy != 0) | (b->tx_n < 16) << 1 | !b->tx_n << 2 | !!b->rx_n << 3 | (b->rx_n == 16) << 4
                   | !!(b->busy || b->on_bus) << 5;
        case 0x74: return b->tx_n;
        case 0x78: return b->rx_n;
        case 0x7c: return b->hold;
        case 0x80: return b->abort;
        case 0x88: return b->dmacr;
        case 0x9c: return b->enable & 1;
        case 0xa0: return b->spklen;
        case 0xf4: return 0x000f0f0e; /* 16 entries in each FIFO */
        case 0xf8: return 0x3230312a;
        case 0xfc: return 0x44570140;
    }
    if (clear) {
        value = b->raw & clear;
        b->raw &= ~clear;
        if (clear & TX_ABRT) b->abort = 0;
        i2c_interrupts(c, b);
        return !!value;
    }
    return 0;
}

static void i2c_write(Chip *c, I2c *b, uint32_t a, uint32_t value) {
    uint32_t o = a & 0xfff;
    value = alias(a, a & 0x3000 && o != 0x10 ? i2c_read(c, b, o) : 0, value);
    switch (o) {
        case 0x00: b->con = value; break;
        case 0x04: b->tar = value & 0x3ff; break;
        case 0x10:
            if (b->tx_n < 16) b->tx[(b->tx_at + b->tx_n++) & 15] = value & 0x7ff;
            else b->raw |= TX_OVER;
            if (!b->busy) i2c_next(b, c->t);
            break;
        case 0x14: b->ss_h = value; break;
        case 0x18: b->ss_l = value; break;
        case 0x1c: b->fs_h = value; break;
        case 0x20: b->fs_l = value; break;
        case 0x30: b->mask = value; break;
        case 0x38: b->rx_tl = value; break;
        case 0x3c: b->tx_tl = value; break;
        case 0x6c:
            b->enable = value;
            if (!(value & 1)) b->tx_n = b->rx_n = b->raw = b->abort = b->ends = b->on_bus = b->busy = 0, b->due = NEVER;
            break;
        case 0x7c: b->hold = value; break;
        case 0x88: b->dmacr = value; break;
        case 0xa0: b->spklen = value; break;
    }
    i2c_interrupts(c, b);
}

static void i2c_reset(Chip *c, int number) {
    I2c *b = &c->i2c[number], was = *b;
    memset(b, 0, sizeof *b);
    memcpy(b->device, was.device, sizeof b->device);
    b->log = was.log;
    b->scl = was.scl;
    b->sda = was.sda;
    b->number = number;
    b->con = 0x65;
    b->tar = 0x55;
    b->ss_h = 0x28;
    b->ss_l = 0x2f;
    b->fs_h = 6;
    b->fs_l = 13;
    b->spklen = 7;
    b->due = NEVER;
    i2c_interrupts(c, b);
}
