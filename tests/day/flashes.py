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


def red_changes(lights):
    """Opposing changes that involve a saturated red, in a row of (Y, R, G, B): indices at which each is complete.

    WCAG 2.0 and 2.1: in one or both states R / (R + G + B) >= 0.8, and (R - G - B) x 320, negative values taken as 0,
    changes by more than 20.
    """
    found, way, seen = [], 0, []
    for n, (_y, r, g, b) in enumerate(lights):
        v, saturated = max(0.0, r - g - b) * 320, r > 0 and r / (r + g + b) >= 0.8
        falls = max([u for u, s in seen if s or saturated], default=v) - v > 20
        rises = v - min([u for u, s in seen if s or saturated], default=v) > 20
        if falls and way >= 0 or rises and way <= 0:
            found.append(n)
            way, seen = (-1 if falls and way >= 0 else 1), []
        seen = _extremes([*seen, (v, saturated)])
    return found


def _extremes(seen):
    """Only the lowest and the highest, saturated or not: all that later states can be told from."""
    kept = []
    for s in (False, True):
        values = [u for u, is_red in seen if is_red == s]
        kept += [(u, s) for u in {min(values), max(values)}] if values else []
    return kept


def red_changes_uv(lights):
    """As red_changes, as WCAG 2.2 has it: from or to a state with R / (R + G + B) >= 0.8, and the two are more than 0.2
    apart in CIE 1976 u'v'. States under 2 % of full have no colour here; away from the red and towards it oppose."""
    found, way, reds, all_ = [], 0, [], []
    for n, (_y, r, g, b) in enumerate(lights):
        if 0.2126 * r + 0.7152 * g + 0.0722 * b < 0.02:
            continue
        at, saturated = _uv(r, g, b), r / (r + g + b) >= 0.8
        to_red = saturated and any(_apart(at, other) for other in all_)
        from_red = any(_apart(at, other) for other in reds)
        if to_red and way <= 0 or from_red and not saturated and way >= 0:
            found.append(n)
            way = 1 if to_red and way <= 0 else -1
            reds, all_ = [], []
        all_ = [*all_[-60:], at]
        reds = [*reds[-60:], at] if saturated else reds
    return found


def _uv(r, g, b):
    x, y, z = (0.4124 * r + 0.3576 * g + 0.1805 * b, 0.2126 * r + 0.7152 * g + 0.0722 * b,
               0.0193 * r + 0.1192 * g + 0.9505 * b)
    d = x + 15 * y + 3 * z
    return 4 * x / d, 9 * y / d


def _apart(a, b):
    return (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 > 0.04


def rate(found, a_second):
    """The most flashes in any one second of changes that are complete at these indices."""
    most = 0
    for n, first in enumerate(found):
        most = max(most, len([at for at in found[n:n + 60] if at - first < a_second]))
    return most / 2


def worst_light(lights, a_second):
    """The most flashes in any one second of (Y, R, G, B) over time: general or red, by either definition of the red."""
    return max(rate(one, a_second) for one in (changes([light[0] for light in lights]), red_changes(lights),
                                               red_changes_uv(lights)))
