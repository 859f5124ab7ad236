"""The receiving side of a DMX512 port on the ESP32-S3: the I2S receiver as a sampler, and hal/receiver.

MicroPython's UART there shows neither where in the bytes a break came nor how long it was, and no framing error; a
whole packet could then not be distinguished from a part of one. I2S, which reads its data pin at each tick of its
clock, has none of these limits: 2 million samples a second by DMA, eight a bit. Its clock and word select need a pin
each, unconnected. Not tried on a chip.
"""

import time
from array import array

from machine import I2S, Pin
from micropython import const

from hal.esp32 import line_samples as samples
from hal.receiver import Receiver

try:  # machine code where the port has an emitter for it
    from hal.esp32.line_samples_viper import scan
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from hal.esp32.line_samples import scan

_RATE = const(31_250)  # of words of 2 x 32 bits: 2 MHz
_BUFFERS = const(6)
_BYTES = const(4_096)  # 16.4 ms
_SAMPLES = const(32_768)
_DMA_BYTES = const(40_000)  # 160 ms: a handler that is called later than that finds samples missing
_LATE_MS = const(140)
_TENTHS = const(5)  # of a µs, for each sample
_BIT = const(8)  # samples
_IDLE = const(2_000)  # samples: 1 ms
_NOWHERE = const(1_000)  # more than a packet has


class LineIn:
    """unit: of I2S; rx: pin of the line; clock, select: two pins that nothing is connected to."""

    def __init__(self, unit, rx, clock, select):
        self.receiver = Receiver()
        self._unit, self._pins = unit, (clock, select, rx)
        self._i2s = None
        self._buffers = []
        self._state = array("i", [0] * 9)
        self._filled = self._read = 0  # buffers, since the start
        self._stopped = False
        self._filled_ms = 0  # when a buffer was last full
        self._on_buffer = self._buffer_full

    def listen(self, on):
        """Start or stop receiving. The memory (24 KB) is taken at the first start."""
        if self._i2s:
            self._i2s.deinit()
            self._i2s = None
        if not on:
            return
        if not self._buffers:
            self._buffers = [bytearray(_BYTES) for _ in range(_BUFFERS)]
        clock, select, rx = self._pins
        self._i2s = I2S(self._unit, sck=Pin(clock), ws=Pin(select), sd=Pin(rx), mode=I2S.RX, bits=32,
                        format=I2S.STEREO, rate=_RATE, ibuf=_DMA_BYTES)
        self._begin()
        self._i2s.irq(self._on_buffer)
        self._i2s.readinto(self._buffers[0])

    def take(self):
        """The newest whole packet not taken before, as hal/contract.Line.received."""
        now = time.ticks_ms()
        if self._stopped:
            self.receiver.refuse("lost")
            self.listen(True)
        while self._read < self._filled and self._parse(self._buffers[self._read % _BUFFERS]):
            self._state[samples.AT] = 0
            self._read += 1
        return self.receiver.take(now)

    def _begin(self):
        state = self._state
        for n in range(len(state)):
            state[n] = 0
        state[samples.SPAN] = 1 << 23  # nothing is known of the time before
        self._filled = self._read = 0
        self._stopped = False
        self._filled_ms = time.ticks_ms()

    def _buffer_full(self, i2s):
        """The driver has filled a buffer: give it the next, unless that is still to be read or this call is late."""
        now = time.ticks_ms()
        self._filled += 1
        late = time.ticks_diff(now, self._filled_ms) > _LATE_MS
        self._filled_ms = now
        if late or self._filled - self._read >= _BUFFERS - 1:
            self._stopped = True
        else:
            i2s.readinto(self._buffers[self._filled % _BUFFERS])

    def _parse(self, buffer):
        """Read a buffer on from where it was left. False: a packet waits, and each is to be handed up."""
        receiver, state = self.receiver, self._state
        while not receiver.stop():
            state[samples.N] = receiver.n if receiver.n >= 0 else _NOWHERE
            event = scan(buffer, _SAMPLES, receiver.buffer, state)
            if receiver.n >= 0:
                receiver.n = state[samples.N]
            if event == samples.MORE:
                if state[samples.MODE] == samples.GAP and state[samples.COUNT] > _IDLE:
                    receiver.idle()
                return True
            if event == samples.STRETCH:
                self._low_stretch()
            elif event == samples.FULL:
                receiver.put(0)  # no room for it: refused as too long
            else:
                receiver.bad()
        return False

    def _low_stretch(self):
        """Give the receiver a low stretch; times are the longest that they can have been."""
        state = self._state
        low, bits, high = state[samples.LOW] + 1, state[samples.BITS], 0
        while bits:  # it began inside a slot, after the last bit that was high
            bits >>= 1
            high += 1
        if high:
            low -= _BIT * (high + 1)
        self.receiver.low(low * _TENTHS, (state[samples.MARK] + 1) * _TENTHS, (state[samples.SINCE] + 1) * _TENTHS,
                          not high)
