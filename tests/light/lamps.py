"""Emitter sets like those of real lamps, invented: (name, x, y, luminance at full), for tests and figures."""

import math
import random

from firmware.light import colour

_RED, _GREEN, _BLUE = ("red", 0.690, 0.308, 0.35), ("green", 0.190, 0.700, 0.9), ("blue", 0.155, 0.025, 0.12)
_AMBER, _CYAN, _LIME = ("amber", 0.580, 0.419, 0.5), ("cyan", 0.080, 0.500, 0.5), ("lime", 0.410, 0.545, 1.4)
_WARM, _COOL, _MINT = ("warm", 0.460, 0.411, 1.4), ("cool", 0.313, 0.329, 1.5), ("mint", 0.360, 0.440, 1.2)
_INDIGO, _ORANGE = ("indigo", 0.165, 0.012, 0.03), ("orange", 0.628, 0.372, 0.4)

SETS = {
    "rgb": (_RED, _GREEN, _BLUE),
    "rgbw": (_RED, _GREEN, _BLUE, _COOL),
    "rgbww": (_RED, _GREEN, _BLUE, _WARM, _COOL),
    "rgbl": (_RED, _GREEN, _BLUE, _LIME),
    "rgbaw": (_RED, _GREEN, _BLUE, _AMBER, _COOL),
    "rgbacl": (_RED, _GREEN, _BLUE, _AMBER, _CYAN, _LIME),
    "seven": (_RED, _ORANGE, _AMBER, _GREEN, _CYAN, _BLUE, _INDIGO),
    "seven_white": (_RED, _GREEN, _BLUE, _AMBER, _MINT, _WARM, _COOL),
}


def some(dice):
    """One of the sets as another maker would build it: chromaticities and outputs moved at random."""
    emitters = dice.choice(sorted(SETS.items()))[1]
    return tuple(_varied(e, dice) for e in emitters)


def _varied(emitter, dice):
    name, x, y, out = emitter
    x, y = x + dice.uniform(-0.004, 0.004), max(0.008, y + dice.uniform(-0.004, 0.004))
    over = max(0.0, x + y - 0.9995)  # past the spectral locus: no light is there
    return name, x - over, y, out * dice.uniform(0.6, 1.5)


def anywhere(dice, most=7):
    """3 to `most` emitters anywhere in the real colours, with any outputs 1 : 40."""
    return tuple(("e%d" % n, *colour.over_white(dice.uniform(0, 360), dice.random() ** 0.5, dice.uniform(2000, 9000)),
                  dice.uniform(0.05, 2)) for n in range(dice.randint(3, most)))


def in_line(dice):
    """Emitters anywhere, and one exactly on the line between two of them."""
    lamp = anywhere(dice, 6)
    (_, xa, ya, _), (_, xb, yb, _) = dice.sample(lamp, 2)
    share = dice.uniform(0.1, 0.9)
    return (*lamp, ("between", xa + (xb - xa) * share, ya + (yb - ya) * share, dice.uniform(0.05, 2)))


def alike(dice):
    """Emitters anywhere, and one 0.003 to 0.01 in xy beside one of them."""
    lamp = anywhere(dice, 6)
    _, x, y, _ = dice.choice(lamp)
    off, way = dice.uniform(0.003, 0.01), dice.uniform(0, 2 * math.pi)
    x, y = x + off * math.cos(way), max(0.01, y + off * math.sin(way))
    return (*lamp, ("twin", x - max(0.0, x + y - 0.9995), y, dice.uniform(0.05, 2)))


def dice(seed):
    return random.Random(seed)
