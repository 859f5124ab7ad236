"""Once around the colours and on, with the pace wandering. A value of the run is a hue: 65536 is once around."""

from micropython import const

from firmware.light.effects.dice import SLOT_MS

ACTS = "colour"
MAY = "colour"
ADDS = False
EACH = False
PARAMS = """Round,ms,2000,600000,60000,1000
Wander,%,0,100,20,5"""

_ONE = const(65536)
_HALF = const(32768)


def run(dice, around, wander):
    """`around`: the mean time of once around; `wander`: how far the pace leaves it."""
    p = rest = 0
    pace = _HALF // 2
    slots = around // SLOT_MS
    while True:
        yield p
        pace += (dice.roll() - pace) // 64
        rest += _ONE + (pace - _HALF // 2) * 2 // 100 * wander
        p = (p + rest // slots) & 65535
        rest %= slots
