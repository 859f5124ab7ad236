"""Welding: arcs with pauses; in the arc the light is never still."""

from micropython import const

ACTS = "level"
MAY = "level white"
ADDS = True
EACH = False
PARAMS = """Arc,ms,200,10000,2500,100
Pause,ms,200,20000,4000,100
Rough,%,5,100,70,5"""

_ONE = const(65536)


def run(dice, arc, pause, rough):
    """`arc`, `pause`: the usual times; `rough`: how deep the flicker of an arc is."""
    while True:
        for _ in range(dice.slots(arc)):
            yield _ONE - dice.roll() * 2 // 100 * rough
        for _ in range(dice.slots(pause)):
            yield 0
