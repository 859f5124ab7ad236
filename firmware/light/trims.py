"""Measured corrections for one lamp: from meter readings to dimming curve, white map and response lag. Pure functions.

A trim is made once, at the lamp, with a meter that does not move. What comes out is monotone whatever the meter's
noise, and a reading that cannot be right is named so that it can be taken again.
"""

from math import log

from firmware.light import colour, curves, white

_FALL = 0.08  # share by which light may fall from one reading to the next and count as noise
_BACK = 6  # mired by which a white may go back and count as noise
_MOST = 9  # readings


def dimming(readings):
    """Points (drive 0..1, light 0..1 of full) of a lamp's dimming curve, for curves.from_points.

    readings: 2 to 9 of (drive 0..1, lux), in any order, without daylight. Small falls are evened out; readings without
    light are left out. Errors: ValueError that names the reading that falls where drive rises, or is impossible.
    """
    readings = _ordered(readings, "lux")
    for drive, lux in readings:
        if not lux >= 0:
            raise ValueError("reading at %s: %s lux: must be 0 or more" % (_percent(drive), lux))
    _check_rising(readings, [r[1] for r in readings], _FALL, 0, "lux")
    points = _even([list(r) for r in readings if r[0] > 0 and r[1] > 0])
    if len(points) < 2:
        raise ValueError("two readings of different light are needed")
    full = points[-1][1]
    return [(drive, lux / full) for drive, lux in points]


def white_map(readings):
    """A lamp's white against the setting of its colour-temperature slot: (mireds, settings, duvs), three lists in order
    of rising mired, for white_setting.

    readings: 2 to 9 of (setting 0..1, K, Duv), in any order. Small steps back are evened out. Errors: ValueError that
    names the reading that goes back.
    """
    readings = _ordered(readings, "K")
    sign = 1 if readings[-1][1] < readings[0][1] else -1  # 1: a higher setting is warmer
    rising = [[setting, sign * white.mired(k), duv] for setting, k, duv in readings]
    _check_rising(readings, [r[1] for r in rising], 0, _BACK, "K")
    rising = _even(rising)
    if len(rising) < 2:
        raise ValueError("two readings of different white are needed")
    if sign < 0:
        rising.reverse()
    return [sign * p[1] for p in rising], [p[0] for p in rising], [p[2] for p in rising]


def white_setting(mapped, cct, duv=0.0):
    """How to set a lamp for a white: (setting 0..1 of its colour-temperature slot, green, miss).

    mapped: from white_map; cct: K; duv: + green. green: the Duv to set on the lamp's own plus/minus green. miss:
    distance in CIE 1976 u'v' to the wanted white once that is set; not 0 where the lamp does not reach the temperature.
    """
    mireds, settings, duvs = mapped
    wanted = white.mired(cct)
    given = min(max(wanted, mireds[0]), mireds[-1])
    setting = curves.cubic(mireds, settings, curves.slopes(mireds, settings), given)
    natural = curves.cubic(mireds, duvs, curves.slopes(mireds, duvs), given)
    miss = 0.0
    if given != wanted:
        miss = colour.delta_uv(*(white.xy(cct, duv) + white.xy(white.kelvin(given), duv)))
    return min(max(setting, 0.0), 1.0), duv - natural, miss


def white_solver(readings):
    """A function (cct, duv) that gives what white_setting does for a lamp with these readings. Errors: as white_map."""
    mapped = white_map(readings)
    return lambda cct, duv: white_setting(mapped, cct, duv)


def lag(t10, t90):
    """Seconds by which a lamp's fade must start early to go level with one that follows at once.

    t10, t90: seconds from a step of its drive until 10 % and 90 % of the light. Taken as a dead time and then an
    exponential approach; a ramp is late by the sum of both. Errors: ValueError unless 0 <= t10 < t90.
    """
    if not 0 <= t10 < t90:
        raise ValueError("10 %% after %s s and 90 %% after %s s: the second must be later" % (t10, t90))
    settling = (t90 - t10) / log(9)
    return t10 - settling * log(10 / 9) + settling


def _ordered(readings, unit):
    """Readings by rising drive. Errors: ValueError where there are too few, too many, or two at one drive."""
    if not 2 <= len(readings) <= _MOST:
        raise ValueError("%d readings: a trim takes 2 to %d" % (len(readings), _MOST))
    readings = sorted(readings, key=lambda r: r[0])
    for n, reading in enumerate(readings):
        if not 0 <= reading[0] <= 1:
            raise ValueError("reading at %s (%s %s): must be 0..100 %%" % (_percent(reading[0]), reading[1], unit))
        if n and reading[0] == readings[n - 1][0]:
            raise ValueError("two readings at %s: keep one" % _percent(reading[0]))
    return readings


def _check_rising(readings, values, share, step, unit):
    """Check that values fall by no more than a share and a step from one to the next. Errors: ValueError that names the
    reading without which they would not, or both at the first fall."""
    falls = _falls(values, share, step)
    if not falls:
        return
    named = [n for n in (falls[0], falls[0] + 1) if not _falls(values[:n] + values[n + 1 :], share, step)]
    if len(named) != 1:
        named = falls[0], falls[0] + 1
    names = " or ".join(["%s (%.4g %s)" % (_percent(readings[n][0]), readings[n][1], unit) for n in named])
    raise ValueError("reading at %s is out of line with its neighbours: measure it again" % names)


def _falls(values, share, step):
    """Indices of the values that fall by more than a share and a step to the next."""
    return [n for n in range(len(values) - 1) if not values[n + 1] >= values[n] * (1 - share) - step]


def _even(points):
    """Points of strictly rising value: a point that does not rise over the one before is pooled with it (the means of
    both), until all rise. Source: pool adjacent violators, as in isotonic regression."""
    pools = []
    for point in points:
        pools.append([1] + point)
        while len(pools) > 1 and pools[-1][2] <= pools[-2][2] * (1 + 1e-5 * (1 if pools[-2][2] > 0 else -1)):
            a, b = pools.pop(), pools.pop()
            n = a[0] + b[0]
            pools.append([n] + [(a[0] * a[k] + b[0] * b[k]) / n for k in range(1, len(a))])
    return [tuple(pool[1:]) for pool in pools]


def _percent(share):
    return "%.4g %%" % (share * 100)
