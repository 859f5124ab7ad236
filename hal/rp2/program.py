"""The PIO programs: `sends` and `hears` for a DMX512 line, `watches` for the knob. Used by line, ear and knob.

Times are in cycles of each program's own clock. tests/wire runs them cycle by cycle in an emulator. Once the board is
made, this module is dropped: it holds nothing that its users do not.
"""

# ruff: noqa: F821  the names below are the PIO assembler's

from micropython import const
from rp2 import PIO, asm_pio

SENDS_HZ = const(1_000_000)  # one cycle is 1 µs, a bit is 4
HEARS_HZ = const(5_000_000)  # one cycle is 0.2 µs, a bit is 20
WATCHES_HZ = const(128_000)  # one instruction of 32 cycles: 4,000 samples a second


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


@asm_pio(
    in_shiftdir=PIO.SHIFT_RIGHT, autopush=True, push_thresh=16, out_shiftdir=PIO.SHIFT_RIGHT, autopull=False
)
def hears():
    """Pushes an item for each slot, in the high half of a word: bits 0..7 its value, bit 8 its first stop bit, bits
    9..15 its second. Where those are clear the line stayed low, and y follows three times: as it was when that was
    seen, at the rise, and at the next fall. y goes down by one with every turn of a loop: from 0x7FFF at the low's
    start, and again from the rise on, through the mark and all that is high between slots. It stops at 0, or at
    0xFFFF where the line was low: 13 ms, longer than any time that E1.11 sets as the least."""
    label("gap")
    jmp(pin, "more")
    wrap_target()
    nop()[8]
    label("check")  # a start bit is low in its middle; what is not is noise
    jmp(pin, "gap")
    set(x, 7)[16]
    label("bit")
    in_(pins, 1)[18]
    jmp(x_dec, "bit")
    in_(pins, 1)[19]
    jmp(pin, "whole")
    in_(null, 7)
    in_(y, 16)
    mov(osr, x)  # x is all ones after its loop
    out(y, 15)
    label("low")
    jmp(pin, "rise")
    jmp(y_dec, "low")
    label("long")
    jmp(pin, "rise")
    jmp("long")
    label("rise")
    in_(y, 16)
    out(y, 15)
    label("mark")
    jmp(pin, "high")
    jmp("fell")
    label("high")
    jmp(y_dec, "mark")
    label("stay")
    jmp(pin, "stay")
    set(y, 0)
    label("fell")
    in_(y, 16)
    jmp("check")[6]
    label("whole")
    in_(x, 7)
    jmp("gap")[1]
    label("more")
    jmp(y_dec, "gap")
    label("still")
    jmp(pin, "still")
    set(y, 0)
    wrap()


@asm_pio(in_shiftdir=PIO.SHIFT_LEFT, autopush=True, push_thresh=8)
def watches():
    """The knob's two pins four times a millisecond; a byte is four samples, the oldest in bits 6 and 7."""
    wrap_target()
    in_(pins, 2)[31]
    wrap()
