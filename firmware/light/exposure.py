"""Exposure at the mark: the incident-light equation, ratios, distance, and levels for a wanted stop. Pure functions.

ISO 2720 relates the light on the subject to the camera's settings: N^2 / t = E S / C, with N the aperture, t seconds, E
lux, S the ISO speed and C the meter's constant. Every error names the figure that is impossible.
"""

from math import log, sqrt

C_FLAT = 250  # constant of a meter with a flat receptor; ISO 2720 allows 240..400
C_DOME = 340  # with a hemispherical one; ISO 2720 allows 320..540

_LUX_PER_FC = 10.7639
# Whole stops as they are engraved (ISO 517), from 1.
_MARKS = ("1", "1.4", "2", "2.8", "4", "5.6", "8", "11", "16", "22", "32", "45", "64")


def lux(fc):
    """Lux of footcandles."""
    return fc * _LUX_PER_FC


def footcandles(lx):
    """Footcandles of lux."""
    return lx / _LUX_PER_FC


def shutter(angle, fps):
    """Exposure time in s of a shutter angle (above 0, up to 360 degrees) at a frame rate. Errors: ValueError."""
    _above_zero("frame rate", fps)
    if not 0 < angle <= 360:
        raise ValueError("shutter angle %s: must be above 0, at most 360 degrees" % angle)
    return angle / 360 / fps


def shutter_angle(seconds, fps):
    """Shutter angle in degrees of an exposure time at a frame rate. Errors: ValueError for a time longer than a
    frame."""
    _above_zero("frame rate", fps)
    _above_zero("exposure time", seconds)
    angle = 360 * seconds * fps
    if angle > 360.001:
        raise ValueError("exposure of %s s is longer than a frame at %s a second" % (seconds, fps))
    return angle


def aperture(lx, iso, seconds, c=C_FLAT):
    """Aperture (f-number; T-stop for a lens marked so) for light in lux. Source: ISO 2720. Errors: ValueError."""
    _check(lx, iso, seconds)
    return sqrt(lx * iso * seconds / c)


def illuminance(stop, iso, seconds, c=C_FLAT):
    """Incident light in lux for an aperture. Source: ISO 2720. Errors: ValueError."""
    _above_zero("aperture", stop)
    _check(1, iso, seconds)
    return stop * stop * c / (iso * seconds)


def speed(lx, stop, seconds, c=C_FLAT):
    """ISO speed for light in lux at an aperture and exposure time. Source: ISO 2720. Errors: ValueError."""
    _above_zero("aperture", stop)
    _check(lx, 1, seconds)
    return stop * stop * c / (lx * seconds)


def time(lx, stop, iso, c=C_FLAT):
    """Exposure time in s for incident light in lux. Source: ISO 2720. Errors: ValueError."""
    _above_zero("aperture", stop)
    _check(lx, iso, 1)
    return stop * stop * c / (lx * iso)


def t_stop(number, transmission):
    """T-stop of a lens at an f-number. transmission: share of light, above 0 up to 1, that the glass lets through."""
    return number / sqrt(_through(transmission))


def f_number(stop, transmission):
    """F-number of a T-stop: the inverse of t_stop."""
    return stop * sqrt(_through(transmission))


def stop_name(stop, parts=3):
    """Aperture to the nearest third of a stop, or of as many parts, as it is engraved: "4", "2.8 2/3", "2.8 7/10". From
    1 to 64 and the last part under 90."""
    _above_zero("aperture", stop)
    marks = min(max(int(2 * parts * log(stop) / log(2) + 0.5), 0), parts * len(_MARKS) - 1)
    part = marks % parts
    return _MARKS[marks // parts] + (" %d/%d" % (part, parts) if part else "")


def ratio(key, fill):
    """Key to fill: (ratio, stops), of two readings in one unit, each lamp alone. Errors: ValueError."""
    _above_zero("key", key)
    _above_zero("fill", fill)
    return key / fill, log(key / fill) / log(2)


def move(old, new):
    """Stops gained (+) or lost (-) when a lamp goes from one distance to another. Inverse square: for a bare or small
    source, more than five times its own size away (common practice), and not for the beam of a lens."""
    _above_zero("distance", old)
    _above_zero("distance", new)
    return 2 * log(old / new) / log(2)


def distance(old, stops):
    """Distance that gives + or - stops to a lamp that stands at the old one: the inverse of move."""
    _above_zero("distance", old)
    return old * 2.0 ** (-stops / 2)


def at_mark(fulls, levels):
    """Lux at the mark of a look. fulls: the reading of each lamp alone at full; levels: 0..1 each."""
    return sum([fulls[n] * levels[n] for n in range(len(fulls))])


def levels(names, fulls, under, lx):
    """Levels 0..1 that set each lamp alone to lx, less its stops under it.

    names: of the lamps; fulls: lux of each alone at full; under: stops below lx of each, 0 for the key. Errors:
    ValueError that names the first lamp that has too little light, and by how much.
    """
    found = []
    for n in range(len(fulls)):
        if not fulls[n] > 0:
            raise ValueError("%s gives no light at the mark: measure it at full" % names[n])
        level = lx * 2.0 ** -under[n] / fulls[n]
        if level > 1.0001:
            raise ValueError("%s is %.1f stops short: bring it nearer or open up" % (names[n], log(level) / log(2)))
        found.append(min(level, 1.0))
    return found


def _check(lx, iso, seconds):
    _above_zero("light", lx)
    _above_zero("ISO speed", iso)
    _above_zero("exposure time", seconds)


def _through(transmission):
    if not 0 < transmission <= 1:
        raise ValueError("transmission %s: must be above 0, at most 1" % transmission)
    return transmission


def _above_zero(what, value):
    if not value > 0:
        raise ValueError("%s %s: must be above zero" % (what, value))
