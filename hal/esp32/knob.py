"""hal.contract.Knob on the ESP32's pulse counter, which follows both contacts without the processor."""

from machine import Encoder, Pin
from micropython import const

_FILTER_NS = const(12_000)  # about the longest its filter has; longer bounces go forward and back and add up to nothing


class Knob:
    """unit: of the pulse counter; a: pin of the contact that closes first when turned clockwise; b: the other;
    detent: quarter steps from one detent to the next, 4 or 2."""

    def __init__(self, unit, a, b, detent=4):
        pins = [Pin(pin, Pin.IN, Pin.PULL_UP) for pin in (a, b)]
        self._counter = Encoder(unit, pins[0], pins[1], phases=4, filter_ns=_FILTER_NS)
        self._detent = detent
        self._at = 0  # quarter steps at the last detent that was counted

    def turns(self):
        detent = self._detent
        moved = self._counter.value() - self._at
        # A detent counts when all of it but a quarter is done, so trembling half-way is not two.
        detents = (moved + 1) // detent if moved >= 0 else -((1 - moved) // detent)
        self._at += detents * detent
        return detents
