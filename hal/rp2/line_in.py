"""The receiving side of a DMX512 port: a PIO program, a ring, and hal/receiver, which decides what is a packet."""

import time

from machine import Pin
from micropython import const
from rp2 import StateMachine

from hal.receiver import Receiver
from hal.rp2.dma_ring import Ring
from hal.rp2.pio_programs import DMX_IN_HZ, dmx_in

try:  # machine code where the port has an emitter for it
    from hal.rp2.line_words_viper import slots
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from hal.rp2.line_words import slots

_DEPTH = const(3840)  # items of the ring, a slot each: 148 ms of a full line, and an eighth that is not to be reached
# Noise makes an item in 10 µs at the very most: within this the ring is filled fewer times than it can count.
_LATE_MS = const(250)

# Of the program dmx_in, in cycles: from a fall to its first look at a line that stays low; from the rise to its first
# look at the mark; a well-formed slot; and twice its uncertainty, one pass of a loop at each end.
_LOW_CYCLES = const(213)
_MARK_CYCLES = const(3)
_SLOT_CYCLES = const(212)
_LOOP_CYCLES = const(2)
_BIT_CYCLES = const(20)
_TENTHS_CYCLE = const(2)  # 0.2 µs
_LOW_ITEMS = const(4)
_START = const(0x7FFF)  # of y
_LONG_AGO = const(1 << 18)  # slots


class LineIn:
    """machine: the state machine; rx: pin number."""

    def __init__(self, machine, rx):
        self.receiver = Receiver(True)
        self._pin = Pin(rx, Pin.IN, Pin.PULL_UP)
        self._machine = StateMachine(machine)
        self._number = machine
        self._ring = None
        self._slots = self._low = 0  # slots since the last low stretch; passes of a loop that it took
        self._asked_ms = self._item_ms = 0  # when take() was last called; when it last found an item

    def listen(self, on):
        """Start or stop receiving. The memory for it is taken at the first start."""
        if not on:
            self._machine.active(0)
            if self._ring:
                self._ring.stop()
            return
        if self._ring is None:
            self._ring = Ring(self._number, _DEPTH, 2)
            self.receiver.begin()
        self._begin()

    def take(self):
        """The newest whole packet not taken before, as hal/contract.Line.received."""
        now = time.ticks_ms()
        count = self._ring.fresh()
        asked = time.ticks_diff(now, self._asked_ms)  # below 0: six days and more ago
        if count < 0 or not 0 <= asked <= _LATE_MS:
            self.receiver.refuse("lost")
            self._begin()
        elif count:
            self._read(count)
            self._item_ms = now
        elif time.ticks_diff(now, self._item_ms) > 1:
            self.receiver.idle()
        self._asked_ms = now
        return self.receiver.take(now)

    def _begin(self):
        self._machine.active(0)
        self._machine.init(dmx_in, freq=DMX_IN_HZ, in_base=self._pin, jmp_pin=self._pin)
        self._ring.start()
        self._slots = _LONG_AGO  # nothing is known of the time before
        self._asked_ms = time.ticks_ms()
        self._machine.active(1)

    def _read(self, count):
        """Give the receiver the first `count` new items; a low stretch waits until all of it is there."""
        ring, receiver = self._ring, self.receiver
        place, left = ring.first, count
        while left and not receiver.stop():
            read = slots(ring.memory, place, min(place + left, _DEPTH), receiver.buffer, receiver.n)
            self._slots += read
            if receiver.n >= 0:
                receiver.n += read
            if not read:
                read = self._other(place, left)
                if not read:
                    break
            left -= read
            place = (place + read) % _DEPTH
        ring.done(count - left)

    def _other(self, place, left):
        """One slot too many, one without its stop bits, or a low stretch: items read, 0 if some are to come."""
        stops = self._ring.memory[2 * place + 1]
        if stops == 255:
            self.receiver.put(0)  # no room for it: refused as too long
        elif stops >> 1:
            self.receiver.bad()
        elif left < _LOW_ITEMS:
            return 0
        else:
            self._low_stretch(place)
            return _LOW_ITEMS
        self._slots += 1
        return 1

    def _low_stretch(self, place):
        """Give the receiver a low stretch; times are the longest that they can have been."""
        low, mark = self._passes(place + 2), self._passes(place + 3)
        cycles = 2 * low + _LOW_CYCLES + _LOOP_CYCLES
        span = 2 * (self._low + self._passes(place + 1)) + _SLOT_CYCLES * self._slots
        span += _LOW_CYCLES + _MARK_CYCLES + _LOOP_CYCLES
        ring = self._ring.memory
        bits, high = ring[2 * place] | (ring[2 * place + 1] & 1) << 8, 0
        while bits:  # it began inside a slot, after the last bit that was high
            bits >>= 1
            high += 1
        if high:
            cycles -= _BIT_CYCLES * (high + 1)
        mark = 2 * mark + _MARK_CYCLES + _LOOP_CYCLES
        self.receiver.low(cycles * _TENTHS_CYCLE, mark * _TENTHS_CYCLE, span * _TENTHS_CYCLE, not high)
        self._slots, self._low = 0, low

    def _passes(self, place):
        """Passes of a loop that an item counts."""
        ring, at = self._ring.memory, place % _DEPTH * 2
        return (_START - (ring[at] | ring[at + 1] << 8)) & 0xFFFF
