/* An emulated RP2040: what emulated.py calls, and the order of things in time. */

#include "chip.h"
#include "pins.c"
#include "pio_machine.c"
#include "pio.c"
#include "dma.c"
#include "serial.c"
#include "flash.c"
#include "system.c"
#include "bus.c"
#include "exceptions.c"
#include "thumb.c"

static uint64_t devices_due(const Chip *c) {
    uint64_t due = c->dma.due;
    for (int n = 0; n < 2; n++) {
        if (c->pio[n].due < due) due = c->pio[n].due;
        if (c->spi[n].due < due) due = c->spi[n].due;
        if (c->i2c[n].due < due) due = c->i2c[n].due;
    }
    return due;
}

/* Let PIO, DMA and the serial buses catch up. */
static void devices(Chip *c, uint64_t until) {
    if (c->in_devices) return;
    c->in_devices = 1;
    uint64_t due;
    uint32_t wait = c->wait; /* what the processor waits for; DMA waits beside it */
    while ((due = devices_due(c)) <= until) {
        if (due > c->t) c->t = due;
        if (c->pio[0].due <= c->t) pio_run(c, &c->pio[0]);
        if (c->pio[1].due <= c->t) pio_run(c, &c->pio[1]);
        if (c->dma.due <= c->t) dma_run(c);
        for (int n = 0; n < 2; n++) {
            if (c->spi[n].due <= c->t) spi_run(c, &c->spi[n]);
            if (c->i2c[n].due <= c->t) i2c_run(c, &c->i2c[n]);
        }
        if (c->asleep && c->check) { /* time is handed out step by step only while nobody looks */
            if (c->t > c->now) c->now = c->t;
            exceptions(c);
            if (!c->asleep) break;
        }
    }
    c->in_devices = 0;
    uint64_t end = c->asleep || until < c->now ? until : c->now;
    if (c->t < end) c->t = end;
    c->wait = wait;
}

static uint64_t timers_due(const Chip *c) {
    uint64_t due = c->alarm;
    for (int n = 0; n < 4; n++)
        if (c->alarm_due[n] < due) due = c->alarm_due[n];
    return c->tick_due < due ? c->tick_due : due;
}

static void timers(Chip *c) {
    timer_run(c);
    if (c->tick_due <= c->t) {
        c->tick_due += (uint64_t)c->tick_rvr + 1;
        c->pend_tick = c->check = 1;
    }
    if (c->alarm <= c->t) c->alarms();
}

/* Run until `end` (cycles) or until c->stop is set. Returns c->stop. */
uint32_t chip_run(Chip *c, uint64_t end) {
    while (c->now < end && !c->stop) {
        uint64_t next = timers_due(c);
        if (next > end) next = end;
        if (c->asleep && !c->check) {
            uint64_t from = c->now;
            devices(c, next);
            if (c->asleep) c->now = next > from ? next : from;
        } else {
            uint64_t due = devices_due(c);
            if (due < c->now + SLICE) due = c->now + SLICE;
            c->until = due < next ? due : next;
            if (c->until <= c->now) c->until = c->now + 1;
            cpu_run(c);
            devices(c, c->now);
        }
        if (c->t < c->now) c->t = c->now;
        if (timers_due(c) <= c->t) timers(c);
        if (c->asleep && c->check) exceptions(c);
    }
    return c->stop;
}

/* Levels of pins from outside: those of `mask` are driven. */
void chip_drive(Chip *c, uint32_t mask, uint32_t levels) {
    devices(c, c->now);
    if (c->t < c->now) c->t = c->now;
    c->driven |= mask;
    c->drive = (c->drive & ~mask) | (levels & mask);
    pins_changed(c);
}

void chip_watch(Chip *c, int pin) {
    c->watched |= 1u << pin;
    if (c->driving >> pin & 1) edge_put(&c->edges[pin], c->t * CYCLE_NS, c->level >> pin & 1);
}

void chip_irq(Chip *c, int number, int level) { irq(c, number, level); }
uint32_t chip_read(Chip *c, uint32_t a) { uint32_t v = bus_read(c, a, 4); c->wait = 0; return v; }
void chip_write(Chip *c, uint32_t a, uint32_t v) { bus_write(c, a, v, 4); c->wait = 0; }
uint32_t chip_busy(Chip *c) { return c->ssi.busy_until > c->now; }
uint32_t chip_level(Chip *c) { return c->level; }
/* Since the chip was made: 0 instructions, 1 hits and 2 misses of the cache, 3 erases and 4 programs of the flash. */
uint64_t chip_count(Chip *c, int which) {
    uint64_t counts[] = {c->instructions, c->cache.hits, c->cache.misses, c->ssi.erases, c->ssi.programs};
    return counts[which];
}
uint32_t chip_register(Chip *c, int n) { return n < 16 ? c->r[n] : flags(c) | c->ipsr; }
void chip_set_register(Chip *c, int n, uint32_t value) {
    if (n < 16) c->r[n] = value;
    else set_flags(c, value);
}
uint32_t chip_edges(Chip *c, int pin) { return c->edges[pin].n; }
const uint64_t *chip_edge_data(Chip *c, int pin) { return c->edges[pin].at; }

static Log *log_of(Chip *c, int which) { return which < 2 ? &c->spi[which].log : &c->i2c[which - 2].log; }
uint32_t chip_log(Chip *c, int which) { return log_of(c, which)->n; }
const uint64_t *chip_log_at(Chip *c, int which) { return log_of(c, which)->at; }
const uint32_t *chip_log_what(Chip *c, int which) { return log_of(c, which)->what; }
const uint32_t *chip_log_pins(Chip *c, int which) { return log_of(c, which)->pins; }
void chip_log_clear(Chip *c, int which) { log_of(c, which)->n = 0; }

void chip_i2c_device(Chip *c, int bus, int address, int scl, int sda) {
    I2c *b = &c->i2c[bus];
    b->device[address >> 5 & 3] |= 1u << (address & 31);
    b->scl = scl;
    b->sda = sda;
    c->softbus |= 1u << scl | 1u << sda;
}

/* The processor and all peripherals of this side start anew, in the boot ROM. RAM's content is left alone. */
void chip_reset(Chip *c) {
    c->t = c->now;
    memset(c->r, 0, sizeof c->r);
    c->n = c->z = c->cy = c->v = c->primask = c->control = c->psp = c->msp = c->ipsr = c->vtor = c->scr = 0;
    c->shpr2 = c->shpr3 = 0;
    c->active = 0;
    c->lines = c->pending = c->enabled = 0;
    memset(c->priority, 0, sizeof c->priority);
    c->pend_sv = c->pend_tick = c->pend_svc = c->pend_nmi = c->asleep = c->event = 0;
    c->tick_csr = c->tick_rvr = 0;
    c->tick_due = NEVER;
    c->code_size = c->wait = 0;
    c->stop = 0;
    c->out = c->oe = c->hi_out = c->hi_oe = c->spin = c->fifo_n = 0;
    c->div_a = c->div_b = c->div_q = c->div_r = c->div_csr = 0;
    c->resets = c->psm_on = c->psm_off = c->psm_wdsel = c->resets_wdsel = 0;
    memset(c->pwm, 0, sizeof c->pwm);
    c->pulled = 0;
    for (int n = 0; n < 2; n++) {
        pio_reset(c, n);
        spi_reset(c, n);
        i2c_reset(c, n);
    }
    dma_reset(c);
    timer_reset(c);
    ssi_reset(c);
    pins_reset(c);
    c->r[13] = load(c->rom, 4);
    c->r[15] = load(c->rom + 4, 4) & ~1u;
    c->slow = ROSC_SLOW;
    c->check = 1;
}

Chip *chip_new(uint8_t *ram, uint8_t *flash, uint8_t *rom, uint8_t *dpram, void *read, void *write, void *alarms,
               int cache) {
    Chip *c = calloc(1, sizeof *c);
    c->ram = ram;
    c->flash = flash;
    c->rom = rom;
    c->dpram = dpram;
    c->read = read;
    c->write = write;
    c->alarms = alarms;
    c->alarm = NEVER;
    c->cache.on = cache;
    c->ssi.was = malloc(FLASH_SIZE);
    for (int n = 0; n < 2; n++) c->i2c[n].scl = c->i2c[n].sda = -1;
    chip_reset(c);
    return c;
}

void chip_free(Chip *c) {
    for (int n = 0; n < 30; n++) free(c->edges[n].at);
    for (int n = 0; n < 4; n++) {
        Log *l = log_of(c, n);
        free(l->at);
        free(l->what);
        free(l->pins);
    }
    free(c->ssi.was);
    free(c);
}
