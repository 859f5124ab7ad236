"""A candle: mostly steady; a slow wander, and now and then a draught that makes it duck and flutter."""

from micropython import const

ACTS = "level"
MAY = "level white colour"
ADDS = False
EACH = True
PARAMS = """Swing,%,2,60,12,1
Draughts a minute,,0,30,4,1"""

_ONE = const(65536)


def run(dice, swing, draughts):
    """`swing`: how far it ducks as it wanders; a draught takes it further."""
    chance = draughts * 32768 // 3000
    v, goal, hold, gust = _ONE, _ONE, 0, 0
    while True:
        if not hold:
            hold = dice.between(3, 25)
            goal = _ONE - dice.roll() * 2 // 100 * swing
            if gust:
                gust -= 1
                hold = dice.between(3, 6)
                goal = max(6000, goal - 32 * dice.between(swing * 20, swing * 60))
        hold -= 1
        if not gust and dice.roll() < chance:
            gust, hold = dice.between(2, 6), 0
        v += (goal - v) // (3 if gust else 8)
        yield v
