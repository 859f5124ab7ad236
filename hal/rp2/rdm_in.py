"""Answers RDM on a port that listens, on the RP2040 and RP2350 (hal.contract.Answers). Loaded by firmware/feed_rdm while
the pocket answers a desk, then dropped.

ANSI E1.20 lets an answer begin 176 us to 2.0 ms after a request (from memory), which is less than a step of the loop. So
nothing here waits for the loop: the program at_rest raises an interrupt when the line has been high for 192 us, as it is
after every request. Its handler, which may put nothing on the heap, takes the packet that has just come in out of the
ring that dmx_in fills, and asks the responder. Then DMA turns the driver on, sends, and turns it off some microseconds
after the last stop bit. On the emulated RP2040 that is 0.7 to 1.3 ms after the request. Flash that is written keeps the
processor for longer: what it has not heard 0.5 ms later the program takes back, so that no answer comes late. A desk
asks again then.

Two lists of transfers, for an answer after a break and for one without:

    six short waits; the driver on; head and mark; the bytes; six short waits; the driver off
    head, mark and four bytes; the driver on; the other bytes; six short waits; the driver off

The program's FIFO holds four words, so that the sixth goes in when the second is taken out. In the second list the
shortest break there is, 2 us, has then gone by with the driver off; at the end of both the packet has.
"""

import time
from binascii import crc32

from machine import mem32, unique_id
from micropython import const
from rp2 import PIO, StateMachine

from hal.rp2.dma_ring import block, fifo
from hal.rp2.pads import HIGH, override
from hal.rp2.pio_rest import AT_REST_HZ, at_rest

try:  # machine code where the port has an emitter for it
    from hal.rp2.line_words_viper import copy
    from hal.rp2.rdm_in_words_viper import packet
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from hal.rp2.line_words import copy
    from hal.rp2.rdm_in_words import packet

_MACHINE = const(2)  # runs at_rest: the ports send from 0 and 1 of the same PIO
_PASSES = const(95)  # of at_rest, 2 us each: 192 us
_MOST = const(257)  # slots of a request with start code and checksum

# Places of the block: words, two lists of transfers, and the bytes that are sent.
_ON, _OFF, _SHORT, _WAITS, _HEAD, _BARE = const(0), const(4), const(8), const(12), const(36), const(44)
_FIRST, _SECOND = const(80), const(176)
_BYTES = const(56)  # in the first list, where the transfer of the bytes has its count
_PACKET, _ENCODED, _SIZE = const(256), const(320), const(344)

_UID_SLOTS, _AHEAD = const(24), const(4)  # of a UID's answer; and those that go out with its head
_BREAK, _MARK, _BARE_MARK = const(200), const(20), const(40)  # us; E1.20's break is 176 to 352, its mark 12 to 88
_BREAK_US, _MARK_US, _IDLE_US = const(2), const(9), const(6)  # what dmx_out takes beside its loops
_SHORT_US, _SHORTS = const(12), const(6)
_ANSWER_US = const(4_000)  # longer than any answer of ours

_DMA = const(0x50000000)
_CHANNEL = const(0x40)
_AL3, _AL3_READ_TRIGGER = const(0x30), const(0x3C)
_NO_REQUEST = const(0x3F)


class Answers:
    """line: the hal.rp2.line.Line that listens; chip: "rp2040" or "rp2350"."""

    def __init__(self, line, chip):
        if line.drive or line._drive_pin is None or line._line_in is None:
            raise ValueError("This port cannot answer RDM")
        self._line, self._line_in = line, line._line_in
        self._responder = None
        self._asked = bytearray(_MOST)
        self._address, self._memory = block(_SIZE)
        # Numbers above 2**30 are objects: made here, so that the handler has none to make.
        self._go = _DMA + _CHANNEL * line.control.channel + _AL3_READ_TRIGGER
        self._pad, self._high = override(line._drive_pin, chip, HIGH)
        self._machine = StateMachine(_MACHINE)

    def ident(self):
        """As hal.contract.Answers.ident: of the chip's own number."""
        return crc32(unique_id()).to_bytes(4, "big")[1:]

    def begin(self, responder, encoded):
        """As hal.contract.Answers.begin."""
        line, control = self._line, self._line.control
        self._responder = responder
        self._lay(encoded)
        line._machine.restart()  # make has given it its program
        line._machine.active(1)
        control.config(
            read=self._address, write=_DMA + _CHANNEL * line.data.channel + _AL3, count=4, trigger=False,
            ctrl=control.pack_ctrl(size=2, inc_read=True, inc_write=True, ring_sel=True, ring_size=4,
                                   chain_to=control.channel, treq_sel=_NO_REQUEST, irq_quiet=True))
        pin = self._line_in._pin
        self._machine.init(at_rest, freq=AT_REST_HZ, in_base=pin, jmp_pin=pin)
        self._machine.irq(self._rest, hard=True)
        self._machine.put(_PASSES)
        self._machine.active(1)

    def close(self):
        """As hal.contract.Answers.close."""
        self._machine.irq(None)
        self._machine.active(0)
        PIO(0).remove_program(at_rest)
        time.sleep_us(_ANSWER_US)  # an answer may be on its way
        self._line._stop()

    def _rest(self, _machine):
        """The line has come to rest: if that was a request for this device, its answer goes out."""
        ring, asked = self._line_in._ring, self._asked
        place = (ring._fill.write - ring._address) >> 1
        count = packet(ring.memory, place, ring.depth, asked)
        size = self._responder.answer(asked, count) if count and not self._line._drive else 0
        if size > 0:
            copy(self._memory, _PACKET, self._responder.out, size)
            mem32[self._address + _HEAD] = (size - 1) << 1 | (_BREAK - _BREAK_US) << 11
            mem32[self._address + _FIRST + _BYTES] = size
            mem32[self._go] = self._address + _FIRST
        elif size < 0:
            mem32[self._go] = self._address + _SECOND

    def _lay(self, encoded):
        """Write what is the same for all answers."""
        at = self._address
        mem32[at + _OFF] = mem32[self._pad]
        mem32[at + _ON] = mem32[self._pad] | self._high
        wait = 1 | (_SHORT_US - _IDLE_US) << 1
        mem32[at + _SHORT] = wait
        for n in range(_SHORTS):
            mem32[at + _WAITS + 4 * n] = wait
        mem32[at + _HEAD + 4] = _MARK - _MARK_US
        mem32[at + _BARE], mem32[at + _BARE + 4] = (_UID_SLOTS - 1) << 1, _BARE_MARK - _MARK_US
        for n in range(_AHEAD):
            mem32[at + _BARE + 8 + 4 * n] = encoded[n]
        self._memory[_ENCODED:_SIZE] = encoded
        to, request = fifo(self._line.number, 0)
        self._place = at + _FIRST
        # What is read, where it goes, how often, whether the address goes on, size, pace.
        self._put(_WAITS, to, _SHORTS, True, 2, request)
        self._put(_ON, self._pad, 1)
        self._put(_HEAD, to, 2, True, 2, request)
        self._put(_PACKET, to, 1, True, 0, request)
        self._end(to, request)
        self._put(_BARE, to, 2 + _AHEAD, True, 2, request)
        self._put(_ON, self._pad, 1)
        self._put(_ENCODED + _AHEAD, to, _UID_SLOTS - _AHEAD, True, 0, request)
        self._end(to, request)

    def _end(self, to, request):
        """Add what ends a list."""
        self._put(_SHORT, to, _SHORTS, False, 2, request)
        self._put(_OFF, self._pad, 1, last=True)

    def _put(self, read, to, count, advance=False, size=2, request=_NO_REQUEST, last=False):
        """Add a transfer. read: place of the block."""
        data, at = self._line.data, self._place
        mem32[at] = data.pack_ctrl(
            size=size, inc_read=advance, inc_write=False, treq_sel=request, irq_quiet=True,
            chain_to=data.channel if last else self._line.control.channel)
        mem32[at + 4], mem32[at + 8] = to, count
        mem32[at + 12] = self._address + read
        self._place = at + 16
