"""The light of a screen in a dark room: a new level at each cut, a slow drift and a little life in between."""

from micropython import const

ACTS = "level white"
MAY = "level white colour"
ADDS = False
EACH = False
PARAMS = """Shot,ms,300,15000,3000,100
Contrast,%,5,100,60,5"""

_ONE = const(65536)
_HALF = const(32768)


def run(dice, shot, contrast):
    """`shot`: the usual time between two cuts."""
    while True:
        v = _ONE - dice.roll() * 2 // 100 * contrast
        goal = _ONE - dice.roll() * 2 // 100 * contrast
        quick = dice.roll() < 5000  # a series of short shots
        n = dice.slots(shot // 4 if quick else shot)
        for _ in range(n):
            v += (goal - v) // (4 * n)
            yield max(0, min(_ONE, v + (dice.roll() - _HALF // 2) // 16 * contrast // 100))
