"""Bright and dark in turn."""

from micropython import const

from firmware.light.effects.dice import SLOT_MS

ACTS = "level"
MAY = "level white colour"
ADDS = False
EACH = False
PARAMS = """Period,ms,200,60000,2000,100
Bright,%,5,95,50,5
Soft edge,%,0,100,50,5"""

_ONE = const(65536)


def run(_dice, period, bright, soft):
    """bright: share of the period; soft: how much of each is the change."""
    n = 0
    whole = max(4, period // SLOT_MS)
    up = max(1, min(whole - 1, whole * bright // 100))
    edge = max(1, min(up, whole - up) * soft // 100)
    while True:
        if n < up:
            yield min(_ONE, _ONE * (n + 1) // edge)
        else:
            yield max(0, _ONE - _ONE * (n - up + 1) // edge)
        n = (n + 1) % whole
