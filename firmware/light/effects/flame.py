"""An open fire: power falls with frequency, about as 1/f (the usual finding for flames; from memory)."""

from micropython import const

ACTS = "level white"
MAY = "level white colour"
ADDS = False
EACH = True
PARAMS = """Pace,%,25,300,100,5
Swing,%,5,100,60,5"""

_ONE = const(65536)


def run(dice, pace, swing):
    """Voss's sum of rolls that are renewed every 1, 2, 4, ... slots, then smoothed."""
    a = b = c = d = v = 0
    n = acc = 0
    while True:
        acc += pace
        while acc >= 200:  # a roll every 40 ms at 100 %
            acc -= 200
            n += 1
            a = dice.roll()
            if not n & 1:
                b = dice.roll()
            if not n & 3:
                c = dice.roll()
            if not n & 15:
                d = dice.roll()
        v += ((a + 2 * b + 3 * c + 4 * d) // 5 - v) // 4
        yield _ONE - (_ONE - min(v, _ONE)) // 100 * swing
