"""The PIO programs: `sends` and `hears` for a DMX512 line, `watches` for the knob. Used by line, ear and knob.

Times are in cycles of each program's own clock. tests/wire runs them cycle by cycle in an emulator.
"""

# ruff: noqa: F821  the names below are the PIO assembler's

from micropython import const
from rp2 import PIO, asm_pio

SENDS_HZ = const(1_000_000)  # one cycle is 1 µs, a bit is 4
HEARS_HZ = const(5_000_000)  # one cycle is 0.2 µs, a bit is 20
WATCHES_HZ = const(128_000)  # one instruction of 32 cycles: 4,000 samples a second

# What lies in `sends` beside the loops counted by its words, in µs.
IDLE_US = const(6)
BREAK_US = const(2)
MARK_US = const(9)

# The same for `hears`, in cycles: from a fall to its first look at a line that stays low; from the rise to
# its first look at the mark; a well-formed slot; and twice its uncertainty, one turn of a loop at each end.
LOW_CYCLES = const(213)
MARK_CYCLES = const(3)
SLOT_CYCLES = const(212)
LOOP_CYCLES = const(2)


@asm_pio(
    out_init=PIO.OUT_HIGH, set_init=PIO.OUT_HIGH, out_shiftdir=PIO.SHIFT_RIGHT, autopull=False
)
def sends():
    """Words from the queue: any number of waits (bit 0 set; bits 1..31: µs - IDLE_US), then a packet's head
    (bit 0 clear; bits 1..10: slots; bits 11..31: break - BREAK_US), its mark - MARK_US, and a byte for the
    start code and each slot. From the last data bit to the next word's break is just two stop bits."""
    wrap_target()
    label("idle")
    pull(block)
    out(y, 1)
    jmp(not_y, "head")
    out(x, 31)
    label("rest")
    jmp(x_dec, "rest")
    jmp("idle")
    label("head")
    out(y, 10)
    out(x, 21)
    set(pins, 0)
    label("break")
    jmp(x_dec, "break")
    set(pins, 1)
    pull(block)
    out(x, 32)
    label("mark")
    jmp(x_dec, "mark")
    label("slot")
    pull(block)[4]
    set(pins, 0)[2]
    set(x, 7)
    label("bit")
    out(pins, 1)[2]
    jmp(x_dec, "bit")
    set(pins, 1)
    jmp(y_dec, "slot")[1]
    wrap()


@asm_pio(in_shiftdir=PIO.SHIFT_RIGHT, autopush=False)
def hears():
    """Pushes a word for each slot: bits 22..29 its value, bits 30 and 31 its stop bits as they were. Where
    bit 31 is clear the line stayed low, and three words follow: y when that was seen, at the rise, and at
    the next fall. y goes down by one with every turn of a loop, so differences of y are times."""
    wrap_target()
    label("gap")
    jmp(pin, "more")
    nop()[8]
    label("check")  # a start bit is low in its middle; what is not is noise
    jmp(pin, "gap")
    set(x, 7)[16]
    label("bit")
    in_(pins, 1)[18]
    jmp(x_dec, "bit")
    in_(pins, 1)[19]
    jmp(pin, "whole")
    in_(null, 1)
    push(noblock)
    mov(isr, y)
    push(noblock)
    label("low")
    jmp(pin, "rise")
    jmp(y_dec, "low")
    jmp("low")
    label("rise")
    mov(isr, y)
    push(noblock)
    label("mark")
    jmp(pin, "high")
    mov(isr, y)
    push(noblock)
    jmp("check")[6]
    label("high")
    jmp(y_dec, "mark")
    jmp("mark")
    label("whole")
    in_(x, 1)  # x is all ones after its loop
    push(noblock)
    jmp("gap")
    label("more")
    jmp(y_dec, "gap")
    wrap()


@asm_pio(in_shiftdir=PIO.SHIFT_LEFT, autopush=True, push_thresh=8)
def watches():
    """The knob's two pins four times a millisecond; a byte is four samples, the oldest in bits 6 and 7."""
    wrap_target()
    in_(pins, 2)[31]
    wrap()
