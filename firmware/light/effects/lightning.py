"""Lightning: strokes and re-strokes.

From memory of Rakov and Uman, Lightning (2003): 3 to 5 strokes a flash, a fifth of all flashes of one only; about 60 ms
between strokes (geometric mean); the first is the strongest as a rule; a continuing current of some 100 ms follows a
part of them.
"""

from micropython import const

ACTS = "level"
MAY = "level white"
ADDS = True
EACH = False
PARAMS = """Flashes a minute,,1,40,6,1
Strokes a flash,,1,10,4,1
Gap,ms,40,300,60,10"""

_ONE = const(65536)


def run(dice, a_minute, strokes, gap):
    """0 between the flashes; `strokes` is the mean of a flash."""
    chance = a_minute * 32768 // 3000  # a slot
    while True:
        while dice.roll() >= chance:
            yield 0
        for n in range(dice.between(1, 2 * strokes - 1)):
            v = dice.between(40000 if n else 52000, _ONE if not n else 60000)
            slow = dice.roll() < 8192
            for _ in range(max(2, dice.slots(gap * 7 // 8))):
                yield v
                v = v * 3 // 4 if slow else v // 4
        yield 0
