"""The receiving side of a DMX512 port: a PIO program, a ring, and hal/receive, which decides what is a packet."""

import time
from array import array

from machine import Pin
from micropython import const
from rp2 import StateMachine

from hal.receive import Receiver
from hal.rp2 import program
from hal.rp2.ring import LAPS, Ring

try:  # machine code where the port has an emitter for it
    from hal.rp2 import words_viper as words
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from hal.rp2 import words

_TENTHS_CYCLE = const(2)  # 0.2 µs
_LOW_WORDS = const(4)
_LONG = const(1 << 26)  # turns of a loop: what is longer counts as this
_BIT_CYCLES = const(20)
_WORD_US = const(10)  # the least time between words, in the worst noise


class Ear:
    """machine: the state machine; rx: pin number; depth: words of the ring, a slot each: 2,048 hold 90 ms."""

    def __init__(self, machine, rx, depth=2048):
        self.receiver = Receiver(True)
        self._pin = Pin(rx, Pin.IN, Pin.PULL_UP)
        self._machine = StateMachine(machine)
        self._number, self._depth, self._shallow = machine, depth, depth
        self._ring = None
        self._low = array("i", [0] * 5)
        self._slots = 0  # heard since the last break began
        self._late_ms = (LAPS - 1) * depth * _WORD_US // 1000  # after that the ring can't tell how far behind we are
        self._last_ms = self._heard_ms = 0

    def listen(self, on):
        """Start or stop hearing. The memory for it is taken at the first start."""
        if not on:
            self._machine.active(0)
            if self._ring:
                self._ring.stop()
            return
        if self._ring is None:
            self._ring = Ring(self._number, self._depth, 4)
            self.receiver.begin()
        self._begin()

    def each(self, on):
        """Hand up every packet in turn, or the newest. For every packet the ring is made twice as deep, where there is
        memory: a block of flash may take 100 ms to write."""
        self.receiver.every = on
        depth = self._shallow * (2 if on else 1)
        if not self._ring or depth == self._depth:
            return
        try:
            self._ring.resize(depth)
            self._depth = depth
        except MemoryError:
            pass  # then it bears 79 ms, as before
        self._begin()

    def take(self):
        """The newest whole packet not taken before, as hal/contract.Line.received."""
        now = time.ticks_ms()
        count = self._ring.fresh()
        if count < 0 or time.ticks_diff(now, self._last_ms) > self._late_ms:
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
        self._machine.init(program.hears, freq=program.HEARS_HZ, in_base=self._pin, jmp_pin=self._pin)
        self._ring.start()
        self._slots = _LONG // program.SLOT_CYCLES  # nothing is known of the time before
        self._last_ms = time.ticks_ms()
        self._machine.active(1)

    def _read(self, count):
        """Give the receiver the first `count` new words; a low stretch waits until all of it is there."""
        ring = self._ring
        place, left = ring.first, count
        while left and not self.receiver.stop():
            took = self._well_formed(place, min(left, ring.depth - place))
            if not took:
                took = self._other(place, left)
                if not took:
                    break
            left -= took
            place = (place + took) % ring.depth
        ring.done(count - left)

    def _well_formed(self, place, most):
        receiver = self.receiver
        took = words.slots(self._ring.memory, place, place + most, receiver.buffer, receiver.n)
        if receiver.n >= 0:
            receiver.n += took
        self._slots += took
        return took

    def _other(self, place, left):
        """One slot too many, one without its stop bits, or a low stretch: words read, 0 if some are to come."""
        high = self._ring.memory[4 * place + 3]
        if high >> 6 == 3:
            self.receiver.put(0)  # no room for it: refused as too long
        elif high >> 7:
            self.receiver.bad()
        elif left < _LOW_WORDS:
            return 0
        else:
            self._was_low(place)
            return _LOW_WORDS
        self._slots += 1
        return 1

    def _was_low(self, place):
        """Tell the receiver of a low stretch; times are the longest that they can have been."""
        out = self._low
        words.low(self._ring.memory, place, self._depth, out)
        cycles = program.LOW_CYCLES + 2 * _turns(out[0]) + program.LOOP_CYCLES
        mark = program.MARK_CYCLES + 2 * _turns(out[1]) + program.LOOP_CYCLES
        span = program.LOW_CYCLES + program.MARK_CYCLES + program.LOOP_CYCLES
        span += 2 * _turns(out[2]) + program.SLOT_CYCLES * self._slots
        bits, place = out[4], 0
        while bits:  # it broke into a slot: it began after the last bit that was high
            bits >>= 1
            place += 1
        if place:
            cycles -= _BIT_CYCLES * (place + 1)
        self.receiver.low(cycles * _TENTHS_CYCLE, mark * _TENTHS_CYCLE, span * _TENTHS_CYCLE, not place)
        self._slots = 0


def _turns(count):
    """Turns of a loop, at most _LONG; y has gone round where the count is negative."""
    return count if 0 <= count < _LONG else _LONG
