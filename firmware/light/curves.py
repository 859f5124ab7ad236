"""Dimming curves as inverse maps: wanted light -> drive, 16 bit, monotone. Made in floats, used in integers.

A map is an array('H') of 66 drives (0..65535): at 65 knots of wanted light, and the last once more. Light is
0..65536; 65536 is full. The knots stand closer the darker it is, twelve to each two stops:

    light      0..255   256..1023   1024..4095   4096..16383   16384..65536
    a knot every   16          64          256          1024           4096
    shift           4           6            8            10             12

so that a straight line between two of them stays within 0.01 stop of a square or logarithmic law (0.022 of an S) from
-1 to -8 stops. With s the shift, light is past knot i = (light >> s) + 6 * s - 24 by light & ((1 << s) - 1), of 1 <<
s to the next. Light 0 is drive 0; any other light is at least the drive at which the lamp begins to give any. A value
of 0..65535 becomes light by light += light >> 15.
"""

from array import array
from math import exp, log, sqrt

_SPAN = 1000  # light of full to dark on the logarithmic curve, as on that of IEC 62386-102


def table(kind, floor=0.0):
    """The map of a lamp whose light follows its drive by a kind of curve.

    kind: "linear"; "square" (light is drive squared); "s" (3 d^2 - 2 d^3); "log" (equal steps of drive are equal ratios
    of light, 1000 : 1); or measured points, as from_points takes them. floor: 0..0.9, the drive at which the lamp
    begins to give light. Errors: ValueError for another kind or floor. Common practice: makers' curves differ; measure
    where it matters.
    """
    if not isinstance(kind, str):
        return from_points(kind, floor)
    kinds = {"linear": _linear, "square": sqrt, "s": _s, "log": _log}
    if kind not in kinds:
        raise ValueError("curve %r: there are %s" % (kind, ", ".join(sorted(kinds))))
    if not 0 <= floor <= 0.9:
        raise ValueError("strike at %s of drive: must be 0..0.9" % floor)
    return _map([floor + (1 - floor) * kinds[kind](light) for light in _knots()])


def from_points(points, floor=0.0):
    """The map of a lamp measured at points: [(drive 0..1, light 0..1 of full)], drive and light both rising, the last
    at full. floor: 0..0.9, the drive at which the lamp begins to give light.

    Between points it is a monotone cubic of the logarithms (a straight line for any power law); below the first it goes
    on as between the first two. Errors: ValueError that names the point that does not rise, or where fewer than two are
    above the floor.
    """
    points = [p for p in points if p[0] > floor and p[1] > 0]
    if len(points) < 2:
        raise ValueError("a dimming curve needs two points above the strike, not %d" % len(points))
    for n in range(1, len(points)):
        if points[n][0] <= points[n - 1][0] or points[n][1] <= points[n - 1][1]:
            raise ValueError("point at drive %s: drive and light must both rise" % points[n][0])
    lights = [log(p[1]) for p in points]
    drives = [log(p[0] - floor) for p in points]
    bends = slopes(lights, drives)
    found = [floor + exp(cubic(lights, drives, bends, log(light))) for light in _knots()[1:]]
    return _map([floor] + found)


def apply(table, light):
    """Drive 0..65535 for wanted light 0..65536, both ints. The stage's loops have the same four lines."""
    if light <= 0:
        return 0
    s = 12 if light >= 16384 else 10 if light >= 4096 else 8 if light >= 1024 else 6 if light >= 256 else 4
    i = (light >> s) + 6 * s - 24
    return table[i] + ((table[i + 1] - table[i]) * (light & ((1 << s) - 1)) >> s)


def slopes(xs, ys):
    """Slopes at the knots of a monotone cubic through points with rising xs, for `cubic`. Source: Fritsch and Butland,
    1984 (weighted harmonic mean of the two sides, flat at a turning point)."""
    n = len(xs)
    rise = [(ys[k + 1] - ys[k]) / (xs[k + 1] - xs[k]) for k in range(n - 1)]
    found = [rise[0]]
    for k in range(1, n - 1):
        before, after = xs[k] - xs[k - 1], xs[k + 1] - xs[k]
        if rise[k - 1] * rise[k] <= 0:
            found.append(0.0)
        else:
            w1, w2 = 2 * after + before, after + 2 * before
            found.append((w1 + w2) / (w1 / rise[k - 1] + w2 / rise[k]))
    return found + [rise[-1]]


def cubic(xs, ys, bends, x):
    """The monotone cubic at x; past an end it is a straight line with the slope of that end."""
    last = len(xs) - 1
    if x <= xs[0] or x >= xs[last]:
        k = 0 if x <= xs[0] else last
        return ys[k] + bends[k] * (x - xs[k])
    k = 0
    while x > xs[k + 1]:
        k += 1
    width = xs[k + 1] - xs[k]
    t = (x - xs[k]) / width
    away = 1 - t
    return (
        ys[k] * (1 + 2 * t) * away * away
        + ys[k + 1] * (3 - 2 * t) * t * t
        + width * t * away * (bends[k] * away - bends[k + 1] * t)
    )


def _knots():
    """Wanted light 0..1 at the 65 knots."""
    lights = [16 * k for k in range(16)]
    for shift in (6, 8, 10, 12):
        lights += [k << shift for k in range(4, 16)]
    return [light / 65536 for light in lights] + [1.0]


def _map(drives):
    """A 16-bit array of shares 0..1 that never falls, the last entry twice."""
    found = array("H")
    least = 0
    for drive in drives:
        least = max(least, int(min(drive, 1.0) * 65535 + 0.5))
        found.append(least)
    found.append(least)
    return found


def _linear(light):
    return light


def _s(light):
    """The d of 3 d^2 - 2 d^3 = light, by halving: there is no short closed form."""
    low, high = 0.0, 1.0
    for _ in range(22):
        d = (low + high) / 2
        if (3 - 2 * d) * d * d < light:
            low = d
        else:
            high = d
    return high if light > 0 else 0.0


def _log(light):
    """The d of (1000^d - 1) / 999 = light."""
    return log(1 + light * (_SPAN - 1)) / log(_SPAN)
