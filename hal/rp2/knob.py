"""hal.contract.Knob on the RP2: PIO samples both contacts 4,000 times a second and DMA stores half a second of it.

So no detent is lost while the processor is busy (flash erase takes 45 ms and more). A bouncing contact goes a
quarter step forward and back, which adds up to nothing; detents are counted where the knob comes to rest.
"""

from machine import Pin
from micropython import const
from rp2 import StateMachine

from hal.rp2.dma_ring import Ring
from hal.rp2.pio_programs import ENCODER_HZ, encoder

try:  # machine code where the port has an emitter for it
    from hal.rp2.line_words_viper import detents
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from hal.rp2.line_words import detents

_DEPTH = const(512)  # bytes of four samples: a millisecond each
# Quarter steps + 1 from one sample to the next, at old * 4 + new; clockwise is 3, 2, 0, 1, 3: a closes first.
_STEPS = b"\x01\x02\x00\x01\x00\x01\x01\x02\x02\x01\x01\x00\x01\x00\x02\x01"


class Knob:
    """machine: a state machine; a: pin of the contact that closes first when turned clockwise, b is the next
    pin; detent: quarter steps from one detent to the next, 4 or 2."""

    def __init__(self, machine, a, detent=4):
        self._pins = Pin(a, Pin.IN, Pin.PULL_UP), Pin(a + 1, Pin.IN, Pin.PULL_UP)
        self._detent = detent
        self._state = bytearray((4, 128))  # as line_words.detents has it: the contacts are unknown
        self._ring = Ring(machine, _DEPTH, 1)
        self._ring.start()
        self._machine = StateMachine(machine, encoder, freq=ENCODER_HZ, in_base=self._pins[0])
        self._machine.active(1)

    # Machine code on the chips.
    def turns(self):
        ring = self._ring
        count = ring.fresh()
        if count < 0:  # not asked for half a second
            ring.start()
            return 0
        turned = detents(ring.memory, ring.first, count, _DEPTH, self._state, _STEPS, self._detent)
        ring.done(count)
        return turned
