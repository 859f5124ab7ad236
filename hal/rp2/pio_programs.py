"""The PIO programs: dmx_out and dmx_in for a DMX512 line, encoder for the knob. Used by line, line_in and knob.

Times are in cycles of each program's clock. tests/wire runs the programs cycle by cycle in an emulator. Once the board
is made, firmware/start drops this module: line, line_in and knob hold all that it has.
"""

# ruff: noqa: F821  the names below are the PIO assembler's

from micropython import const
from rp2 import PIO, asm_pio

DMX_OUT_HZ = const(1_000_000)  # one cycle is 1 µs, a bit is 4
DMX_IN_HZ = const(5_000_000)  # one cycle is 0.2 µs, a bit is 20
ENCODER_HZ = const(128_000)  # one instruction of 32 cycles: 4,000 samples a second


@asm_pio(
    out_init=PIO.OUT_HIGH, set_init=PIO.OUT_HIGH, out_shiftdir=PIO.SHIFT_RIGHT, autopull=False
)
def dmx_out():
    """Words from the FIFO: any number of waits (bit 0 set; bits 1..31: µs - _IDLE_US of line_records), then a packet's
    head (bit 0 clear; bits 1..10: slots; bits 11..31: break - _BREAK_US), its mark - _MARK_US, and a byte for the
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
def dmx_in():
    """Pushes an item for each slot, in the high half of a word: bits 0..7 its value, bit 8 its first stop bit, bits
    9..15 its second. Where those are clear the line stayed low, and y follows three times: as it was when that was
    seen, at the rise, and at the next fall. y goes down by one with every pass of a loop: from 0x7FFF at the low's
    start, and again from the rise on, through the mark and all that is high between slots. It stops at 0, or at
    0xFFFF where the line was low: 13 ms, longer than any time that E1.11 sets as the least."""
    label("idle")
    jmp(pin, "count")
    wrap_target()
    nop()[8]
    label("start")  # a start bit is low in its middle; what is not is noise
    jmp(pin, "idle")
    set(x, 7)[16]
    label("bit")
    in_(pins, 1)[18]
    jmp(x_dec, "bit")
    in_(pins, 1)[19]
    jmp(pin, "slot")
    in_(null, 7)
    in_(y, 16)
    mov(osr, x)  # x is all ones after its loop
    out(y, 15)
    label("break")
    jmp(pin, "end")
    jmp(y_dec, "break")
    label("wait")
    jmp(pin, "end")
    jmp("wait")
    label("end")
    in_(y, 16)
    out(y, 15)
    label("mark")
    jmp(pin, "next")
    jmp("fell")
    label("next")
    jmp(y_dec, "mark")
    label("rest")
    jmp(pin, "rest")
    set(y, 0)
    label("fell")
    in_(y, 16)
    jmp("start")[6]
    label("slot")
    in_(x, 7)
    jmp("idle")[1]
    label("count")
    jmp(y_dec, "idle")
    label("still")
    jmp(pin, "still")
    set(y, 0)
    wrap()


@asm_pio(in_shiftdir=PIO.SHIFT_LEFT, autopush=True, push_thresh=8)
def encoder():
    """Samples the knob's two pins four times a millisecond; a byte is four samples, the oldest in bits 6 and 7."""
    wrap_target()
    in_(pins, 2)[31]
    wrap()
