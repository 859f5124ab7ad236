"""From a chromaticity to its white, hue and saturation: the inverse of white.py and colour.py. Pure functions.

Loaded where light from outside is taken over, from a meter or a feed; dialling and fading do not need it.
"""

from math import atan2, pi, sqrt

from firmware.light import colour, white

_POINTS = (0.04, 0.045, 0.09, 0.15, 0.22, 0.31, 0.42, 0.56, 0.75, 0.98, 1.0)  # of the locus: mired / 1000


def cct_duv(x, y):
    """Correlated colour temperature (K, limited to 1000..25000) and Duv of a chromaticity: of the nearest point of the
    Planckian locus in CIE 1960 uv. A CCT means little where Duv is beyond +-0.05 (CIE 015)."""
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
        before, t = t, t + step
        if not low < t < high:
            t = (low + high) / 2
        if abs(t - before) < 1e-5 * t:
            break
    lu, lv, du, dv = white.locus(t)
    distance = sqrt((u - lu) * (u - lu) + (v - lv) * (v - lv))
    return 1000 / t, distance if (v - lv) * du > (u - lu) * dv else -distance


def hue_sat(x, y, cct, duv=0.0):
    """Hue (0..360 degrees) and saturation (0 and up; above 1 where no real light is) of a chromaticity over a white:
    the inverse of colour.over_white. Hue is 0 where there is next to no colour."""
    p, q = colour.to_plane(x, y, colour.cones(*white.xy(cct, duv)))
    chroma = sqrt(p * p + q * q)
    if chroma < 1e-5:
        return 0.0, 0.0
    hue = (atan2(q, p) * 180 / pi - colour.RED) % 360
    return hue, chroma / colour.purest(hue, cct)


def _around(u, v):
    """The nearest of a few points of the locus, between its neighbours. Among them the search for the foot of the
    normal is safe."""
    best = None
    for k in range(1, len(_POINTS) - 1):
        lu, lv, _, _ = white.locus(_POINTS[k])
        miss = (u - lu) * (u - lu) + (v - lv) * (v - lv)
        if best is None or miss < best:
            best, at = miss, k
    return _POINTS[at - 1 : at + 2]
