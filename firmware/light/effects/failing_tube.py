"""A fluorescent tube at the end of its life: steady, then it drops out some times and catches again."""

from micropython import const

ACTS = "level"
MAY = "level"
ADDS = False
EACH = True
PARAMS = """Faults a minute,,1,60,8,1
Flickers a fault,,1,12,4,1
Dark,ms,40,1000,80,20"""

_ONE = const(65536)


def run(dice, faults, flickers, dark):
    """`dark`: the usual time that it is out; `flickers` is the mean of a fault."""
    chance = faults * 32768 // 3000
    while True:
        while dice.roll() >= chance:
            yield _ONE
        for _ in range(dice.between(1, 2 * flickers - 1)):
            low = dice.between(1000, 9000)
            for _ in range(dice.slots(dark)):
                yield low
            for _ in range(dice.slots(90)):
                yield _ONE - dice.between(0, 12000)
