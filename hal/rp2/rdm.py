"""The RDM half of a port on the RP2040 and RP2350 (hal.contract.Rdm): a request between two DMX512 packets, the driver
released by DMA, and whatever is heard until it drives again. Loaded by firmware/stage/rdm_link while lamps are asked
for, then dropped.

No program of its own: dmx_out sends any packet, and dmx_in hears slots with or without a break. A record like those of
line_records, in memory of its own, is put before the newest one for once:

    this record is taken; NEXT is the newest frame's again; head and mark; the packet; six short waits; the driver off;
    waits of 50 us as long as the window; the driver on; all is done; on to NEXT.

The program's FIFO holds four words, so the sixth wait goes in when the second is taken out: the driver is off some
microseconds after the last stop bit, whatever the processor does, and on four to five waits before the next break.
Pins are released by the override of their output (pads.py).
"""

import time

from machine import mem32
from micropython import const

from hal.rp2.dma_ring import Ring, block, fifo
from hal.rp2.line_records import FIRST, RECORD
from hal.rp2.pads import LOW, override

_NEXT_AGAIN, _HEAD, _MARK, _SHORT, _LONG = const(0), const(4), const(8), const(12), const(16)  # words of the block
_OFF, _ON, _TAKEN, _DONE, _STATE = const(20), const(24), const(28), const(32), const(36)
_FIRST = const(40)  # of ten transfers, 16 bytes each
_PACKET = const(200)
_BYTES = const(56)  # where the transfer of the packet's bytes has its count; and that of the window
_WINDOW = const(104)
_MOST = const(257)  # slots of a packet with start code and checksum
_IDLE, _RUNS, _WAITS = const(0), const(1), const(2)  # _STATE

_IDLE_US, _BREAK_US, _MARK_US = const(6), const(2), const(9)  # what dmx_out takes beside its loops
_SHORT_US, _SHORTS, _WAIT_US = const(12), const(6), const(50)

_DMA = const(0x50000000)
_CHANNEL = const(0x40)
_AL3_READ_TRIGGER = const(0x3C)
_NO_REQUEST = const(0x3F)

_DEPTH = const(384)  # items of the ring; an eighth stays empty
_PASSES = const(0x7FFF)
_LOW_CYCLES = const(215)  # of dmx_in, 0.2 us each, beside two a pass
_BREAK_LEAST, _BREAK_LONGEST = const(440), const(1_900)  # 88 to 380 us: an answer's break
_CLOSE_MS = const(120)
_POLL_US = const(200)
_LAST_US = const(3_000)  # the window of a request after which the port is given back


class Rdm:
    """line: the hal.rp2.line.Line that sends; chip: "rp2040" or "rp2350". Errors: ValueError: it cannot do RDM now."""

    def __init__(self, line, chip):
        if line._drive_pin is None or line._line_in is None:
            raise ValueError("This port has no RDM")
        if not line._sending:
            raise ValueError("The line is silent")
        self._line, self._line_in = line, line._line_in
        self._address, self._memory = block(_PACKET + _MOST + 3)
        self._state = self._address + _STATE
        self._had = self._line_in._ring
        self._ring = self._had or Ring(self._line_in._number, _DEPTH, 2)
        self._lay(*override(line._drive_pin, chip, LOW))

    def send(self, packet, window_us, break_us=200, mark_us=20):
        """As hal.contract.Rdm.send."""
        at, count = self._address, len(packet)
        self._memory[_PACKET : _PACKET + count] = packet
        mem32[at + _HEAD] = (count - 1) << 1 | (break_us - _BREAK_US) << 11
        mem32[at + _MARK] = mark_us - _MARK_US
        mem32[at + _FIRST + _BYTES] = count
        # The last five waits begin after the driver is on again, and are the mark before the break.
        mem32[at + _FIRST + _WINDOW] = 6 + window_us // _WAIT_US
        self._line_in._ring = self._ring
        self._line_in._begin()
        mem32[self._state] = _WAITS
        self._arm()

    def heard(self):
        """As hal.contract.Rdm.heard."""
        line = self._line
        following = mem32[line.address]  # before the state: the DMA sets them the other way round
        state = mem32[self._state]
        if state == _WAITS and following != self._address + _FIRST:
            self._arm()  # a new frame was sent meanwhile
        if state != _IDLE:
            return None
        newest = self._newest()
        if mem32[line.address] != newest:  # one came in the very moment in which this record was taken
            mem32[line.address] = newest
        self._line_in._machine.active(0)
        return self._read()

    def close(self, last=None):
        """As hal.contract.Rdm.close."""
        if last is not None:
            self._finish()
            self.send(last, _LAST_US)
            self._finish()
        end = time.ticks_ms() + _CLOSE_MS
        while mem32[self._state] != _IDLE and time.ticks_diff(end, time.ticks_ms()) > 0:
            waits = mem32[self._state] == _WAITS
            if waits:
                mem32[self._line.address] = self._newest()
            time.sleep_us(5)  # it may have been taken just now
            if waits and mem32[self._state] == _WAITS and not 0 <= self._line.control.read - self._address < _PACKET:
                break
        self._line_in._machine.active(0)
        self._ring.stop()
        self._line_in._ring = self._had
        if not self._had:
            self._ring._fill.close()
            self._ring._reset.close()

    # --- inside ---

    def _finish(self):
        """Wait until an exchange is over."""
        end = time.ticks_ms() + _CLOSE_MS
        while self.heard() is None and time.ticks_diff(end, time.ticks_ms()) > 0:
            time.sleep_us(_POLL_US)

    def _newest(self):
        """The address of the newest frame's record."""
        return self._line.address + FIRST + self._line._newest * RECORD

    def _arm(self):
        mem32[self._address + _NEXT_AGAIN] = self._newest()
        mem32[self._line.address] = self._address + _FIRST

    def _lay(self, control, low):
        """Write what is the same for all packets. control: address of the driver pin's register; low: its override."""
        at, line = self._address, self._line
        mem32[at + _SHORT] = 1 | (_SHORT_US - _IDLE_US) << 1
        mem32[at + _LONG] = 1 | (_WAIT_US - _IDLE_US) << 1
        mem32[at + _ON] = mem32[control]
        mem32[at + _OFF] = mem32[control] | low
        mem32[at + _TAKEN], mem32[at + _DONE] = _RUNS, _IDLE
        mem32[self._state] = _IDLE
        to, request = fifo(line.number, 0)
        # What is read, where it goes, how often, whether the address goes on, size, pace.
        self._place = at + _FIRST
        self._put(_TAKEN, self._state, 1)
        self._put(_NEXT_AGAIN, line.address, 1)
        self._put(_HEAD, to, 2, True, 2, request)
        self._put(_PACKET, to, 1, True, 0, request)
        self._put(_SHORT, to, _SHORTS, False, 2, request)
        self._put(_OFF, control, 1)
        self._put(_LONG, to, 1, False, 2, request)
        self._put(_ON, control, 1)
        self._put(_DONE, self._state, 1)
        self._put(0, _DMA + _CHANNEL * line.control.channel + _AL3_READ_TRIGGER, 1, chain=line.data.channel)
        mem32[self._place - 4] = line.address

    def _put(self, read, to, count, advance=False, size=2, request=_NO_REQUEST, chain=None):
        """Add a transfer. read: place of the block."""
        data, at = self._line.data, self._place
        mem32[at] = data.pack_ctrl(
            size=size, inc_read=advance, inc_write=False, treq_sel=request, irq_quiet=True,
            chain_to=self._line.control.channel if chain is None else chain)
        mem32[at + 4], mem32[at + 8] = to, count
        mem32[at + 12] = self._address + read
        self._place = at + 16

    # Machine code on the chips.
    def _read(self):
        """What was heard: bytes. After a break all begins anew; what is no slot is left out, so that length or checksum
        are wrong then."""
        ring = self._ring
        count = ring.fresh()
        if count < 0:
            return b"\0"  # more than any answer
        memory, place, depth, out = ring.memory, ring.first, ring.depth, bytearray()
        while count > 0:
            value, stops = memory[2 * place], memory[2 * place + 1]
            step = 1
            if stops == 255:
                out.append(value)
            elif stops >> 1 == 0:
                step = 4
                at = (place + 2) % depth
                passes = (_PASSES - (memory[2 * at] | memory[2 * at + 1] << 8)) & 0xFFFF
                if count > 2 and _BREAK_LEAST <= 2 * passes + _LOW_CYCLES <= _BREAK_LONGEST:
                    out = bytearray()
                else:
                    out.append(0)
            else:
                out.append(0)
            place = (place + step) % depth
            count -= step
        return out


def answers():
    """The module of the port in, which answers a desk."""
    return "hal.rp2.rdm_in"
