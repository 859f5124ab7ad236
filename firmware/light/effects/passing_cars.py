"""Headlamps that come, are there and are gone: light grows as the inverse square of the distance that is left."""

from micropython import const

ACTS = "level"
MAY = "level white"
ADDS = True
EACH = False
PARAMS = """Cars a minute,,1,40,8,1
Pass,ms,500,10000,2500,100"""

_ONE = const(65536)


def run(dice, a_minute, passing):
    """`passing`: the usual time from the first light of a car to its last."""
    chance = a_minute * 32768 // 3000
    while True:
        while dice.roll() >= chance:
            yield 0
        peak, n = dice.between(36000, _ONE), dice.slots(passing)
        near = max(1, n * 4 // 5)
        for k in range(near):
            far = 2560 - 2304 * k // near  # from ten lengths away to one
            yield peak * 16 // (far * far >> 12)
        for k in range(n - near):
            yield peak - peak * (k + 1) // (n - near + 1)
        yield 0
