"""Level: the share of a lamp's light, in stops, thirds, halves and per cent. Pure functions.

A stop is a factor of two in light. Level is a share 0..1, linear in light; stops count from full, so half is -1.
Dialling takes and gives levels as the stage keeps them: whole numbers, 0..FULL.
"""

from math import log

FULL = 65536
DARKEST = -12  # stops from full: where dialling in stops ends; one detent further down is off
_STEPS = {"1": 1.0, "1/2": 1 / 2, "1/3": 1 / 3, "1/10": 1 / 10}
_LEAST = FULL >> 12


def stops(level):
    """Stops from full, 0 and below, of a level. Errors: ValueError at zero or below, which has no stops."""
    if not level > 0:
        raise ValueError("level %s is off: it has no stops" % level)
    return log(level) / log(2)


def share(stops_from_full):
    """Level of a number of stops from full."""
    return 2.0**stops_from_full


def dial(level, detents, unit):
    """Level 0..FULL after turning by detents, on the marks of a unit: "1", "1/2", "1/3", "1/10" of a stop from full, or
    "%" of light. A level between two marks goes to the next mark in the direction of the turn. Below DARKEST is off
    (0). Errors: ValueError for another unit."""
    if unit == "%":
        return _units(min(max(_marked(level, level * 100 / FULL, detents, _per_cent) / 100, 0.0), 1.0))
    if unit not in _STEPS:
        raise ValueError("unit %r: there are 1, 1/2, 1/3, 1/10 and %%" % unit)
    step = _STEPS[unit]
    if level < _LEAST:  # off: the first detent up lights it
        return 0 if detents <= 0 else _units(share(min(DARKEST + (detents - 1) * step, 0.0)))
    at = _marked(level, stops(level / FULL) / step, detents, lambda mark: share(mark * step)) * step
    return 0 if at < DARKEST - 0.001 else _units(share(min(at, 0.0)))


def dial_stops(levels, by):
    """Move a group by stops, keeping its ratios: (new levels, hit). levels: 0..FULL.

    hit: index of the lamp that reached full, or DARKEST, and so stopped the whole group there; None while there is
    room. Lamps that are off stay off, but a group that is all off goes to DARKEST on the way up.
    """
    lit = [n for n in range(len(levels)) if levels[n] > 0]
    if not lit:
        start = _LEAST if by > 0 else 0
        return [start for _ in levels], None
    hit = None
    if by > 0:
        end = max(lit, key=lambda n: levels[n])
        room = max(-stops(levels[end] / FULL), 0.0)
    else:
        end = min(lit, key=lambda n: levels[n])
        room = min(DARKEST - stops(levels[end] / FULL), 0.0)
    if abs(by) >= abs(room) - 1e-5:
        by, hit = room, end
    factor = share(by)
    return [min(int(round(level * factor)), FULL) for level in levels], hit


def words(stops_count):
    """Stops in thirds as the trade writes them: "0", "+1/3", "-1 2/3"."""
    thirds = int(abs(stops_count) * 3 + 0.5)
    if not thirds:
        return "0"
    whole, part = thirds // 3, thirds % 3
    text = ("%d" % whole if whole else "") + (" " if whole and part else "") + ("%d/3" % part if part else "")
    return ("-" if stops_count < 0 else "+") + text


def _units(level):
    """A share as a whole number, 0..FULL."""
    return int(round(level * FULL))


def _per_cent(mark):
    return mark / 100


def _marked(level, value, detents, share_of):
    """The mark reached from a level by detents; the first one only goes to the mark in its direction. value: the level
    in marks; share_of(mark): the mark's share. A level stands on a mark if it is that mark as a whole number."""
    near = int(value + 0.5) if value >= 0 else -int(0.5 - value)
    if _units(share_of(near)) == level or not detents:
        return near + detents
    below = int(value) if value >= 0 else -int(-value) - 1
    return below + detents if detents > 0 else below + 1 + detents
