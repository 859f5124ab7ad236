"""The receiving side of a DMX512 port: a PIO program, a ring, and hal/receive, which decides what is a packet."""

import time

from machine import Pin
from micropython import const
from rp2 import StateMachine

from hal.receive import Receiver
from hal.rp2.program import HEARS_HZ, hears
from hal.rp2.ring import Ring

try:  # machine code where the port has an emitter for it
    from hal.rp2.words_viper import slots
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from hal.rp2.words import slots

_DEPTH = const(3840)  # items of the ring, a slot each: 148 ms of a full line, and an eighth that is not to be reached
# Noise makes an item in 10 µs at the very most: within this the ring comes round less than the _LAPS that it counts.
_LATE_MS = const(250)

# Of `hears`, in cycles: from a fall to its first look at a line that stays low; from the rise to its first look at
# the mark; a well-formed slot; and twice its uncertainty, one turn of a loop at each end.
_LOW_CYCLES = const(213)
_MARK_CYCLES = const(3)
_SLOT_CYCLES = const(212)
_LOOP_CYCLES = const(2)
_BIT_CYCLES = const(20)
_TENTHS_CYCLE = const(2)  # 0.2 µs
_LOW_ITEMS = const(4)
_START = const(0x7FFF)  # of y
_LONG_AGO = const(1 << 18)  # slots


class Ear:
    """machine: the state machine; rx: pin number."""

    def __init__(self, machine, rx):
        self.receiver = Receiver(True)
        self._pin = Pin(rx, Pin.IN, Pin.PULL_UP)
        self._machine = StateMachine(machine)
        self._number = machine
        self._ring = None
        self._slots = self._low = 0  # heard since the last low stretch; the turns of that
        self._last_ms = self._heard_ms = 0

    def listen(self, on):
        """Start or stop hearing. The memory for it is taken at the first start."""
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
        if count < 0 or time.ticks_diff(now, self._last_ms) > _LATE_MS:
            self.receiver.overrun()
            self._begin()
        elif count:
            self._read(count)
            self._heard_ms = now
        elif time.ticks_diff(now, self._heard_ms) > 1:
            self.receiver.idle()
        self._last_ms = now
        return self.receiver.take(now)

    def _begin(self):
        self._machine.active(0)
        self._machine.init(hears, freq=HEARS_HZ, in_base=self._pin, jmp_pin=self._pin)
        self._ring.start()
        self._slots = _LONG_AGO  # nothing is known of the time before
        self._last_ms = time.ticks_ms()
        self._machine.active(1)

    def _read(self, count):
        """Give the receiver the first `count` new items; a low stretch waits until all of it is there."""
        ring = self._ring
        place, left = ring.first, count
        while left and not self.receiver.stop():
            took = self._well_formed(place, min(left, _DEPTH - place))
            if not took:
                took = self._other(place, left)
                if not took:
                    break
            left -= took
            place = (place + took) % _DEPTH
        ring.done(count - left)

    def _well_formed(self, place, most):
        receiver = self.receiver
        took = slots(self._ring.memory, place, place + most, receiver.buffer, receiver.n)
        if receiver.n >= 0:
            receiver.n += took
        self._slots += took
        return took

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
            self._was_low(place)
            return _LOW_ITEMS
        self._slots += 1
        return 1

    def _was_low(self, place):
        """Tell the receiver of a low stretch; times are the longest that they can have been."""
        low, mark = self._turns(place + 2), self._turns(place + 3)
        cycles = 2 * low + _LOW_CYCLES + _LOOP_CYCLES
        span = 2 * (self._low + self._turns(place + 1)) + _SLOT_CYCLES * self._slots
        span += _LOW_CYCLES + _MARK_CYCLES + _LOOP_CYCLES
        bits, high = self._item(place) & 511, 0
        while bits:  # it broke into a slot: it began after the last bit that was high
            bits >>= 1
            high += 1
        if high:
            cycles -= _BIT_CYCLES * (high + 1)
        mark = 2 * mark + _MARK_CYCLES + _LOOP_CYCLES
        self.receiver.low(cycles * _TENTHS_CYCLE, mark * _TENTHS_CYCLE, span * _TENTHS_CYCLE, not high)
        self._slots, self._low = 0, low

    def _turns(self, place):
        """Turns of a loop that an item tells."""
        return (_START - self._item(place)) & 0xFFFF

    def _item(self, place):
        memory, at = self._ring.memory, place % _DEPTH * 2
        return memory[at] | memory[at + 1] << 8
