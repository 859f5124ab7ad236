"""WCAG's general flash, counted from levels over time: an implementation of its own, nothing of the firmware's.

WCAG 2.2, "general flash and red flash thresholds": a general flash is a pair of opposing changes in relative luminance
of 10 % or more of the maximum relative luminance (1.0) where the relative luminance of the darker image is below 0.80;
a pair of opposing changes is an increase followed by a decrease, or the other way round. Allowed: no more than three
within any one-second period.
"""


def changes(levels):
    """Opposing changes of 10 % or more in a row of relative luminances 0..1: indices at which each is complete."""
    found, low, high, way = [], levels[0], levels[0], 0
    for n, v in enumerate(levels):
        low, high = min(low, v), max(high, v)
        if way >= 0 and high - v >= 0.1 and v < 0.8:
            found.append(n)
            way, low, high = -1, v, v
        elif way <= 0 and v - low >= 0.1 and low < 0.8:
            found.append(n)
            way, low, high = 1, v, v
    return found


def worst(levels, a_second):
    """The most flashes (pairs of opposing changes) in any one second. a_second: levels in a second."""
    found = changes(levels)
    most = 0
    for n, first in enumerate(found):
        inside = [at for at in found[n:] if at - first < a_second]
        most = max(most, len(inside))
    return most / 2
