"""Answers RDM on a port that listens, on the RP2040 and RP2350 (hal.contract.Answers). Loaded by firmware/feed_rdm
while the pocket answers a desk, then dropped.

ANSI E1.20 lets an answer begin 176 us to 2.0 ms after a request (from memory), which is less than a step of the loop.
So nothing here waits for the loop: the program at_rest raises an interrupt when the line has been high for 192 us, as
it is after every request. Its handler, which may put nothing on the heap, takes the packet that has just come in out of
the ring that dmx_in fills, and asks the responder. Then DMA turns the driver on, sends, and turns it off some
microseconds after the last stop bit. On the emulated RP2040 that is 0.7 to 1.4 ms after the request. Flash that is
written keeps the processor for longer: what it has not heard 0.5 ms later the program takes back, so that no answer
comes late. A desk asks again then.
"""

import time

from machine import mem32
from micropython import const
from rp2 import PIO, StateMachine

from hal.rp2.pio_rest import at_rest

try:  # machine code where the port has an emitter for it
    from hal.rp2.rdm_in_words_viper import packet
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from hal.rp2.rdm_in_words import packet

_MACHINE = const(2)  # runs at_rest: the ports send from 0 and 1 of the same PIO
_HEAD, _FIRST, _SECOND = const(32), const(64), const(160)  # places of the block that rdm_in_lay writes
_COUNT = const(120)  # and of the number of bytes in the first list
_BREAK, _BREAK_US = const(200), const(2)  # us: of an answer, E1.20's are 176 to 352; what dmx_out takes beside its loop
_MOST = const(257)  # slots of a request with start code and checksum
_ANSWER_US = const(4_000)  # longer than any answer of ours


class Answers:
    """line: the hal.rp2.line.Line that listens; chip: "rp2040" or "rp2350". rdm_in_lay sets the rest."""

    setup = "hal.rp2.rdm_in_lay"

    def __init__(self, line, chip):
        if line.drive or line._drive_pin is None or line._line_in is None:
            raise ValueError("This port cannot answer RDM")
        self.line, self.chip = line, chip
        self.machine = StateMachine(_MACHINE)
        self.responder = self.memory = None
        self.block = self.go = 0
        self._ring, self._asked = line._line_in._ring, bytearray(_MOST)

    def close(self):
        """As hal.contract.Answers.close."""
        self.machine.irq(None)
        self.machine.active(0)
        PIO(0).remove_program(at_rest)
        time.sleep_us(_ANSWER_US)  # an answer may be on its way
        self.line._stop()

    def rest(self, _machine):
        """The line has come to rest: if that was a request for this device, its answer goes out."""
        ring, asked, at = self._ring, self._asked, self.block
        count = packet(ring.memory, (ring._fill.write - ring._address) >> 1, ring.depth, asked)
        size = self.responder.answer(asked, count) if count and not self.line._drive else 0
        if size > 0:
            mem32[at + _HEAD] = (size - 1) << 1 | (_BREAK - _BREAK_US) << 11
            mem32[at + _COUNT] = size
            mem32[self.go] = at + _FIRST
        elif size < 0:
            mem32[self.go] = at + _SECOND
