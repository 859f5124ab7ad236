"""The way back: which white, which hue and saturation a chromaticity is. Pure functions.

Loaded when light from outside is taken over (a meter, a feed, a picked colour); dialling and fading go without.
"""

from math import atan2, pi, sqrt

from firmware.light import colour, white

_POINTS = (0.04, 0.045, 0.09, 0.15, 0.22, 0.31, 0.42, 0.56, 0.75, 0.98, 1.0)


def cct_duv(x, y):
    """Correlated colour temperature (K, held to 1000..25000) and Duv of a chromaticity: the nearest point of
    the Planckian locus in CIE 1960 uv. A CCT means little where Duv is beyond +-0.05 (CIE 015)."""
    d = 12 * y - 2 * x + 3
    u = 4 * x / d
    v = 6 * y / d
    low, t, high = _around(u, v)
    for _ in range(12):
        lu, lv, du, dv = white.locus(t)
        step = ((u - lu) * du + (v - lv) * dv) / (du * du + dv * dv)
        if step > 0:
            low = t
        else:
            high = t
        was, t = t, t + step
        if not low < t < high:
            t = (low + high) / 2
        if abs(t - was) < 1e-5 * t:
            break
    lu, lv, du, dv = white.locus(t)
    away = sqrt((u - lu) * (u - lu) + (v - lv) * (v - lv))
    return 1000 / t, away if (v - lv) * du > (u - lu) * dv else -away


def hue_sat(x, y, cct, duv=0.0):
    """Hue (0..360 degrees) and saturation (0 and up; above 1 where no real light is) of a chromaticity over a
    white: the inverse of colour.over_white. Hue is 0 where there is no colour to speak of."""
    p, q = colour.to_plane(x, y, colour.cones(*white.xy(cct, duv)))
    chroma = sqrt(p * p + q * q)
    if chroma < 1e-5:
        return 0.0, 0.0
    hue = (atan2(q, p) * 180 / pi - colour.RED) % 360
    return hue, chroma / colour.purest(hue, cct)


def rgb_xy(r, g, b):
    """Chromaticity and level (x, y, level) of a screen colour of 0..255 each: the inverse of colour.srgb. Black is
    white at level 0. Source: IEC 61966-2-1."""
    if min(r, g, b) < 0 or max(r, g, b) > 255:
        raise ValueError("rgb %s,%s,%s: each must be 0..255" % (r, g, b))
    level = _linear(max(r, g, b))
    if level == 0:
        r = g = b = 255
    r, g, b = _linear(r), _linear(g), _linear(b)
    xs = 0.4124 * r + 0.3576 * g + 0.1805 * b
    ys = 0.2126 * r + 0.7152 * g + 0.0722 * b
    total = xs + ys + 0.0193 * r + 0.1192 * g + 0.9505 * b
    return xs / total, ys / total, level


def daylight_xy(cct):
    """Chromaticity (x, y) of a CIE daylight illuminant. cct: K, 4000..25000. Errors: ValueError outside.
    Source: CIE 015."""
    if not 4000 <= cct <= white.COOLEST:
        raise ValueError("daylight of %s K: must be 4000..%d" % (cct, white.COOLEST))
    t = 1000 / cct
    if cct <= 7000:
        x = ((-4.6070 * t + 2.9678) * t + 0.09911) * t + 0.244063
    else:
        x = ((-2.0064 * t + 1.9018) * t + 0.24748) * t + 0.237040
    return x, (-3 * x + 2.87) * x - 0.275


def daylight_duv(cct):
    """The Duv that turns the Planckian white of cct (K, 4000..25000) into daylight of the same CCT."""
    return cct_duv(*daylight_xy(cct))[1]


def _around(u, v):
    """The nearest of a few points of the locus, between its neighbours: there the search for the foot of the
    normal is safe."""
    best = None
    for k in range(1, len(_POINTS) - 1):
        lu, lv, _, _ = white.locus(_POINTS[k])
        miss = (u - lu) * (u - lu) + (v - lv) * (v - lv)
        if best is None or miss < best:
            best, at = miss, k
    return _POINTS[at - 1 : at + 2]


def _linear(code):
    """Linear share of an sRGB code value 0..255."""
    c = code / 255
    return c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4
