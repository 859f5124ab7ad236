"""White light: colour temperature, Duv, mired and the trade's correction fractions. Pure functions.

The Planckian locus is two rational functions of the mired value, fitted to the locus itself (CIE 1931 2 degree
observer, c2 = 1.4388e-2 m K). They are within 1e-5 in CIE 1960 u and v from 1000 to 25000 K, and so smooth that their
slope can be the normal along which Duv is measured. Single-precision floats are enough.
"""

from math import sqrt

from micropython import const

_WARMEST = const(1000)
COOLEST = const(25000)

# Duv of the trade's green and magenta correction. Common practice, no standard: density 0.30 of green or
# magenta is "full"; filters of that name scatter by about a quarter, with the white they stand before.
GREENS = (("1/8", 0.003), ("1/4", 0.006), ("1/2", 0.012), ("full", 0.024))


def mired(cct):
    """Reciprocal megakelvin of a colour temperature in K. Errors: ValueError at zero or below."""
    if not cct > 0:
        raise ValueError("colour temperature %s K: must be above zero" % cct)
    return 1e6 / cct


def kelvin(mireds):
    """Colour temperature in K of a mired value. Errors: ValueError at zero or below."""
    if not mireds > 0:
        raise ValueError("%s mired: must be above zero" % mireds)
    return 1e6 / mireds


def shift(cct, mireds):
    """Colour temperature in K after a shift: + mireds warmer, - cooler. Errors: ValueError past infinity."""
    return kelvin(mired(cct) + mireds)


def between(cct1, cct2, share):
    """Colour temperature in K at a share, 0..1, between two, in equal steps of mired."""
    start = mired(cct1)
    return kelvin(start + (mired(cct2) - start) * share)


def xy(cct, duv=0.0):
    """Chromaticity (x, y) of a white. cct: K, 1000..25000; duv: distance from the Planckian locus in CIE
    1960 uv, + green, - magenta. Errors: ValueError outside. Source: CIE 015; Duv as in ANSI C78.377."""
    if not _WARMEST <= cct <= COOLEST:
        raise ValueError("colour temperature %s K: must be %d..%d" % (cct, _WARMEST, COOLEST))
    u, v, du, dv = locus(1000 / cct)
    off = duv / sqrt(du * du + dv * dv)
    return _xy(u - off * dv, v + off * du)


def green_fraction(duv):
    """The nearest trade name of a Duv: "0", or a sign and a fraction ("+1/4" green, "-full" minus green). Common
    practice: see GREENS."""
    size = abs(duv)
    best, miss = "0", size
    for name, value in GREENS:
        if abs(size - value) < miss:
            best, miss = name, abs(size - value)
    return best if best == "0" else ("+" if duv > 0 else "-") + best


def locus(t):
    """u, v and their slopes at t = mired / 1000, 0.04..1."""
    n = ((6.291113 * t + 2.646214) * t + 0.7499242) * t + 0.1798935
    d = (((1.453574 * t + 2.94443) * t + 12.82627) * t + 3.800138) * t + 1
    u = n / d
    n1 = (18.873339 * t + 5.292428) * t + 0.7499242
    d1 = ((5.814296 * t + 8.83329) * t + 25.65254) * t + 3.800138
    du = (n1 - u * d1) / d
    n = ((2.469717 * t + 5.067297) * t + 1.094792) * t + 0.2640901
    d = (((-1.195685 * t + 11.59325) * t + 10.27993) * t + 3.407219) * t + 1
    v = n / d
    n1 = (7.409151 * t + 10.134594) * t + 1.094792
    d1 = ((-4.78274 * t + 34.77975) * t + 20.55986) * t + 3.407219
    return u, v, du, (n1 - v * d1) / d


def _xy(u, v):
    """CIE 1931 chromaticity of a CIE 1960 one."""
    d = 2 * u - 8 * v + 4
    return 3 * u / d, 2 * v / d
