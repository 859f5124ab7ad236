"""hal.contract.Knob on the RP2: PIO samples both contacts 4,000 times a second and DMA stores half a second of it.

So no detent is lost while the processor is busy (flash erase takes 45 ms and more). A bouncing contact goes a
quarter step forward and back, which adds up to nothing; detents are counted where the knob comes to rest.
"""

from machine import Pin
from micropython import const
from rp2 import StateMachine

from hal.rp2.dma_ring import Ring
from hal.rp2.pio_programs import ENCODER_HZ, encoder

_DEPTH = const(512)  # bytes of four samples: a millisecond each
# Quarter steps + 1 from one sample to the next, at old * 4 + new; clockwise is 3, 2, 0, 1, 3: a closes first.
_STEPS = b"\x01\x02\x00\x01\x00\x01\x01\x02\x02\x01\x01\x00\x01\x00\x02\x01"
_STEADY = b"\x00\x55\xaa\xff"  # four equal samples


class Knob:
    """machine: a state machine; a: pin of the contact that closes first when turned clockwise, b is the next
    pin; detent: quarter steps from one detent to the next, 4 or 2."""

    def __init__(self, machine, a, detent=4):
        self._pins = Pin(a, Pin.IN, Pin.PULL_UP), Pin(a + 1, Pin.IN, Pin.PULL_UP)
        self._detent = detent
        self._state = -1  # the contacts' last sample; unknown
        self._quarters = 0  # since the last rest
        self._ring = Ring(machine, _DEPTH, 1)
        self._ring.start()
        self._machine = StateMachine(machine, encoder, freq=ENCODER_HZ, in_base=self._pins[0])
        self._machine.active(1)

    def turns(self):
        ring = self._ring
        count = ring.fresh()
        if count < 0:  # not asked for half a second
            ring.start()
            return 0
        detents, place = 0, ring.first
        for _ in range(count):
            samples = ring.memory[place]
            if self._state < 0:
                self._state = samples >> 6
            if samples != _STEADY[self._state]:
                detents += self._count(samples)
            place = (place + 1) % _DEPTH
        ring.done(count)
        return detents

    def _count(self, samples):
        """Detents in four samples, the oldest in the high bits."""
        detents = 0
        for shift in (6, 4, 2, 0):
            new = samples >> shift & 3
            self._quarters += _STEPS[self._state << 2 | new] - 1
            self._state = new
            if new == 3 or (new == 0 and self._detent == 2):  # at rest; a quarter step too few or too many is no matter
                quarters, half = self._quarters, self._detent // 2
                self._quarters = 0
                whole = (abs(quarters) + half) // self._detent
                detents += whole if quarters >= 0 else -whole
        return detents
