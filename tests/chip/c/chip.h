/* An RP2040 as far as MicroPython and our files use it. One file includes all others (chip.c), so the compiler sees
 * everything at once. Time is counted in cycles of 125 MHz. Until the system clock comes from the PLL the processor
 * takes several of them for each of its own, and so does the SSI; PIO, DMA, SPI and I2C are not slowed: nobody uses
 * them then.
 *
 * "Data sheet" is the RP2040 data sheet of Raspberry Pi Ltd, "TRM" ARM's Cortex-M0+ technical reference manual. */
#ifndef CHIP_H
#define CHIP_H

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define NEVER UINT64_MAX
#define MHZ 125
#define CYCLE_NS 8
#define ROSC_SLOW (125 * 256 * 10 / 65) /* the ring oscillator: 6.5 MHz, data sheet 2.17 (from memory) */
#define SLICE 64 /* the most cycles that PIO and DMA may lag behind the processor, seen from memory they write */
#define RAM_SIZE (264 * 1024)
#define FLASH_SIZE (2 * 1024 * 1024)

enum { STOP_RESTART = 1, STOP_LOCKUP = 2, STOP_CALLER = 4 };

typedef struct {
    uint32_t clkdiv, execctrl, shiftctrl, pinctrl;
    uint32_t pc, x, y, isr, osr;
    uint32_t isr_n, osr_n; /* bits shifted in, shifted out */
    uint32_t tx[8], rx[8], tx_at, tx_n, rx_at, rx_n;
    uint32_t forced; /* an instruction from outside the program */
    uint8_t is_forced, enabled, stalled, waits_irq;
    uint64_t due; /* 1/256 cycles; NEVER: held up, until something changes */
    uint64_t tick; /* 1/256 cycles: one tick of this machine's clock, in the past */
    uint32_t div; /* 1/256 cycles */
} Machine;

enum { HELD_NOT, HELD_TX, HELD_RX, HELD_PIN, HELD_IRQ };

typedef struct {
    Machine sm[4];
    uint16_t mem[32];
    uint32_t irq, fdebug, bypass, inte[2], intf[2];
    uint32_t out, dir; /* what its machines last put on the pins */
    uint64_t due; /* the earliest of its machines', cycles */
    int number;
} Pio;

typedef struct {
    uint32_t read, write, count, reload, ctrl;
    uint8_t busy;
    uint64_t paced; /* cycles: not before, for the pacing timers */
} Channel;

typedef struct {
    Channel ch[12];
    uint32_t intr, inte[2], intf[2], timer[4], sniff_ctrl, sniff_data;
    uint32_t last; /* the channel served last */
    uint64_t due;
} Dma;

typedef struct {
    uint64_t *at;
    uint32_t *what, *pins;
    uint32_t n, room;
} Log;

typedef struct {
    uint32_t cr0, cr1, cpsr, imsc, ris, dmacr;
    uint16_t tx[8], rx[8];
    uint32_t tx_at, tx_n, rx_at, rx_n;
    uint8_t shifting;
    uint16_t word;
    uint64_t due;
    int number;
    Log log; /* (cycle at the word's start, word, levels of the pins) */
} Spi;

typedef struct {
    uint32_t con, tar, ss_h, ss_l, fs_h, fs_l, mask, raw, rx_tl, tx_tl, enable, hold, spklen, dmacr, abort;
    uint32_t tx[16], rx[16], tx_at, tx_n, rx_at, rx_n;
    uint8_t busy, on_bus, ends, reading; /* on_bus: between START and STOP */
    uint32_t word;
    uint64_t due;
    uint32_t device[4]; /* addresses that answer: a bit each */
    int number;
    Log log; /* (cycle, byte | 0x100 START with address | 0x200 STOP | 0x400 no answer) */
    int scl, sda; /* pins on which the devices also hear a bus made of plain pin changes; -1: none */
    uint8_t soft_on, soft_bits, soft_ack, soft_byte, soft_first, soft_pull;
} I2c;

typedef struct {
    uint32_t ctrlr0, ctrlr1, ssienr, ser, baudr, spi_ctrlr0, rx_sample_dly, txftlr, rxftlr;
    uint32_t rx[16];
    uint64_t rx_when[16];
    uint32_t rx_at, rx_n;
    uint64_t idle_at; /* the shifter is busy until then */
    /* the flash chip behind it */
    uint8_t forced; /* chip select: 0 by the SSI, 2 held low, 3 held high */
    uint8_t command, enabled_write, page[256];
    uint32_t place, address;
    uint64_t busy_until;
    /* the erase or program under way, so that power can be cut in it */
    uint8_t *was;
    uint32_t op_address, op_length;
    uint64_t op_from;
    uint64_t erases, programs;
} Ssi;

typedef struct {
    int on; /* whether misses cost */
    uint32_t tag[1024][2]; /* address >> 13, or ~0 */
    uint8_t valid[1024][2]; /* a bit for each half of the line */
    uint8_t older[1024];
    uint32_t word; /* that of the last fetch, address >> 2 */
    uint32_t cost; /* cycles for a word from flash */
    uint64_t hits, misses;
    uint32_t ctrl, counted_hit, counted_acc;
} Cache;

typedef struct {
    uint64_t *at;
    uint32_t n, room;
} Edges; /* ns * 2 + level */

typedef struct Chip {
    /* shared with emulated.py: keep the order */
    uint64_t now;   /* cycles */
    uint64_t alarm; /* cycles: when Python wants to be called */
    uint32_t stop;  /* STOP_... */
    uint32_t odd;   /* the last address outside the map that was accessed */
    uint32_t slow;  /* 1/256: cycles of 125 MHz that a cycle of the processor takes */
    uint8_t *ram, *flash, *rom, *dpram;
    uint32_t (*read)(uint32_t address);
    void (*write)(uint32_t address, uint32_t value);
    void (*alarms)(void);

    /* the processor */
    uint32_t r[16]; /* r[15]: the instruction being executed */
    uint32_t n, z, cy, v;
    uint32_t primask, control, psp, msp; /* psp/msp: of the stack that is not in r[13] */
    uint32_t ipsr, vtor, scr, shpr2, shpr3;
    uint64_t active; /* exceptions, a bit each */
    uint32_t lines, pending, enabled; /* interrupts */
    uint8_t priority[32];
    uint8_t pend_sv, pend_tick, pend_svc, pend_nmi;
    uint8_t asleep; /* 1 WFI, 2 WFE */
    uint8_t event;
    uint8_t check; /* an exception may be due */
    uint32_t wait; /* cycles that the bus added to this instruction */
    uint64_t until; /* the processor runs on its own until then */
    const uint8_t *code;
    uint32_t code_lo, code_size, code_cached;
    uint64_t instructions;
    uint32_t tick_csr, tick_rvr;
    uint64_t tick_from, tick_due;

    uint64_t t; /* time of the devices, cycles */
    uint8_t in_devices;

    /* single-cycle IO */
    uint32_t out, oe, hi_out, hi_oe;
    uint32_t spin, fifo[8], fifo_n;
    uint32_t div_a, div_b, div_q, div_r, div_csr;

    /* pins */
    uint32_t pin_ctrl[30], pad[30], voltage;
    uint32_t sel_sio, sel_pio[2], pue, pde, ie, od;
    uint32_t driven, drive; /* from outside */
    uint32_t pulled; /* low by a device on an open-drain bus */
    uint32_t level, driving; /* what is on the pins, and which ones the chip drives */
    uint32_t edge[4], inte[2][4], intf[2][4];
    uint32_t watched, softbus;
    uint32_t odd_over; /* pins with an override in their control register */
    Edges edges[30];

    Pio pio[2];
    Dma dma;
    Spi spi[2];
    I2c i2c[2];
    Ssi ssi;
    Cache cache;

    /* timer */
    uint64_t epoch;
    uint32_t latched, alarm_at[4], armed, tintr, tinte, tintf, paused;
    uint64_t alarm_due[4];

    uint32_t resets, resets_wdsel;
    uint32_t psm_on, psm_off, psm_wdsel;
    uint32_t pwm[48];
    uint32_t qspi[12];
} Chip;

static uint32_t bus_read(Chip *c, uint32_t a, int size);
static void bus_write(Chip *c, uint32_t a, uint32_t value, int size);
static void irq(Chip *c, int number, int level);
static void pins_changed(Chip *c);
static void pio_wake_pins(Chip *c);
static void pio_interrupts(Chip *c, Pio *p);
static void dma_wake(Chip *c);
static void devices(Chip *c, uint64_t until);

/* What an alias of a register makes of it (data sheet 2.1.2): +0x1000 XOR, +0x2000 set, +0x3000 clear. */
static inline uint32_t alias(uint32_t a, uint32_t old, uint32_t value) {
    switch (a >> 12 & 3) {
        case 1: return old ^ value;
        case 2: return old | value;
        case 3: return old & ~value;
    }
    return value;
}

static void log_add(Log *l, uint64_t at, uint32_t what, uint32_t pins) {
    if (l->n == l->room) {
        l->room = l->room ? l->room * 2 : 1024;
        l->at = realloc(l->at, l->room * sizeof *l->at);
        l->what = realloc(l->what, l->room * sizeof *l->what);
        l->pins = realloc(l->pins, l->room * sizeof *l->pins);
    }
    l->at[l->n] = at;
    l->what[l->n] = what;
    l->pins[l->n++] = pins;
}

#endif
