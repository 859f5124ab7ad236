"""The light of a sun that rises or sets: its level and its white, or that of the sky, by the sun's height.

A value of the run is a height: 0 at 6 degrees under the horizon (the end of civil twilight), 65536 at 15 above it.
"""

from micropython import const

ACTS = "level white"
MAY = "level white"
ADDS = False
EACH = False
PARAMS = """Takes,min,1,120,10,1
Way,dawn/dusk,0,1,0,1
Light of,sun/sky,0,1,0,1"""

_ONE = const(65536)

# Light of the sun and sky on the ground by the sun's height: (degrees, hundredths of a stop under that at 15 degrees).
# From memory of the table in RCA's Electro-Optics Handbook (1974): 3.4, 10.8, 453, 732, 4760, 10,900, 18,600 lx.
_HEIGHTS = (-600, -500, -80, 0, 500, 1000, 1500)  # hundredths of a degree
_STOPS = (1242, 1075, 536, 467, 197, 77, 0)
# Colour temperatures by eye and meter (common practice, no source): the low sun itself, and the sky away from it.
_SUN = (1900, 1900, 2000, 2100, 3000, 3700, 4200)
_SKY = (12000, 12000, 10500, 10000, 8500, 7800, 7400)


def run(_dice, minutes, dusk, _sky):
    """How high the sun is; it stays at the end of its time."""
    slots, p, rest = minutes * 3000, 0, 0
    while True:
        yield _ONE - p if dusk else p
        if p < _ONE:
            rest += _ONE
            p = min(_ONE, p + rest // slots)
            rest %= slots


def level(height):
    """Light 0..65536 of that at 15 degrees."""
    under = _at(_STOPS, height)
    whole, part = under // 100, under % 100
    top = _ONE >> whole
    return top - top * part // 200  # between two stops by a straight line: 0.09 stop off at most


def kelvin(height, params):
    """K of the sun, or of the sky where the parameters say so."""
    _minutes, _dusk, sky = params
    return _at(_SKY if sky else _SUN, height)


def _at(column, height):
    """A column of the table at a height, by straight lines between its entries."""
    degrees = -600 + (2100 * height >> 16)  # hundredths
    n = 0
    while n < len(_HEIGHTS) - 2 and degrees >= _HEIGHTS[n + 1]:
        n += 1
    low, span = _HEIGHTS[n], _HEIGHTS[n + 1] - _HEIGHTS[n]
    return column[n] + (column[n + 1] - column[n]) * (degrees - low) // span
