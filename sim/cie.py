"""Colour as physics has it, for the simulated lamps and meters: CIE 1931 XYZ, nothing of the firmware's.

The locus is Planck's law summed over the standard observer, so that what judges the firmware's own formulas has no line
in common with them.
"""

import functools
import math

# The CIE 1931 2-degree observer, 380..780 nm in steps of 10 nm. Source: CIE 015:2018, table of the observer.
_X = (
    0.001368, 0.004243, 0.01431, 0.04351, 0.13438, 0.2839, 0.34828, 0.3362, 0.2908, 0.19536, 0.09564,
    0.03201, 0.0049, 0.0093, 0.06327, 0.1655, 0.2904, 0.43345, 0.5945, 0.7621, 0.9163, 1.0263, 1.0622,
    1.0026, 0.85445, 0.6424, 0.4479, 0.2835, 0.1649, 0.0874, 0.04677, 0.0227, 0.011359, 0.00579,
    0.002899, 0.00144, 0.00069, 0.000332, 0.000166, 0.000083, 0.000042,
)
_Y = (
    0.000039, 0.00012, 0.000396, 0.00121, 0.004, 0.0116, 0.023, 0.038, 0.06, 0.09098, 0.13902, 0.20802,
    0.323, 0.503, 0.71, 0.862, 0.954, 0.99495, 0.995, 0.952, 0.87, 0.757, 0.631, 0.503, 0.381, 0.265,
    0.175, 0.107, 0.061, 0.032, 0.017, 0.00821, 0.004102, 0.002091, 0.001047, 0.00052, 0.000249,
    0.00012, 0.00006, 0.00003, 0.000015,
)
_Z = (
    0.00645, 0.02005, 0.06785, 0.2074, 0.6456, 1.3856, 1.74706, 1.77211, 1.6692, 1.28764, 0.81295,
    0.46518, 0.272, 0.1582, 0.07825, 0.04216, 0.0203, 0.00875, 0.0039, 0.0021, 0.00165, 0.0011, 0.0008,
    0.00034, 0.00019, 0.00005, 0.00002, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0,
)
_C2 = 1.4388e-2  # m K; the value of the International Temperature Scale of 1990, which CIE 015 keeps


def planck(cct):
    """Chromaticity (x, y) of a black body. cct: K. Source: Planck's law over the observer, CIE 015."""
    power = [wave**-5 / math.expm1(_C2 / (wave * cct)) for wave in (nm * 1e-9 for nm in range(380, 781, 10))]
    x, y, z = (sum(p * bar for p, bar in zip(power, bars, strict=True)) for bars in (_X, _Y, _Z))
    return x / (x + y + z), y / (x + y + z)


def uv(x, y):
    """CIE 1931 (x, y) to CIE 1960 (u, v)."""
    return 4 * x / (12 * y - 2 * x + 3), 6 * y / (12 * y - 2 * x + 3)


def xy(u, v):
    """CIE 1960 (u, v) to CIE 1931 (x, y)."""
    return 3 * u / (2 * u - 8 * v + 4), 2 * v / (2 * u - 8 * v + 4)


def xyz(chromaticity, luminance=1.0):
    """XYZ of a chromaticity (x, y) at luminance Y."""
    x, y = chromaticity
    return luminance * x / y, luminance, luminance * (1 - x - y) / y


def white(cct, duv=0.0):
    """Chromaticity (x, y) at a distance duv from the black body of cct K; + is green (above the locus).
    Source: ANSI C78.377's sign; perpendicular in CIE 1960 uv."""
    u, v = uv(*planck(cct))
    across, up = _tangent(cct)
    return xy(u - duv * up, v + duv * across)


def measure(tristimulus):
    """(cct K, duv) of XYZ as a colour meter gives them: nearest point of the locus in CIE 1960 uv.
    (None, None) for no light, or for a colour farther than 0.05 from the locus, where CCT has no
    meaning (CIE 015). Searches 1000..100000 K."""
    total = sum(tristimulus)
    if total <= 0:
        return None, None
    u, v = uv(tristimulus[0] / total, tristimulus[1] / total)
    cct = 1e6 / _nearest(u, v)
    across, up = _tangent(cct)
    at_u, at_v = uv(*planck(cct))
    duv = (v - at_v) * across - (u - at_u) * up
    return (cct, duv) if abs(duv) <= 0.05 else (None, None)


def _tangent(cct):
    """Unit vector along the locus toward lower temperature (CIE 1960 uv): u grows along it."""
    mired = 1e6 / cct
    u0, v0 = uv(*planck(1e6 / (mired - 0.1)))
    u1, v1 = uv(*planck(1e6 / (mired + 0.1)))
    length = math.sqrt((u1 - u0) ** 2 + (v1 - v0) ** 2)
    return (u1 - u0) / length, (v1 - v0) / length


def _nearest(u, v):
    """The mired value of the locus point nearest to (u, v): a coarse table, then golden section."""
    table = _locus()
    best = min(range(len(table)), key=lambda i: (table[i][1] - u) ** 2 + (table[i][2] - v) ** 2)
    low, high = table[max(best - 1, 0)][0], table[min(best + 1, len(table) - 1)][0]

    def off(mired):
        at_u, at_v = uv(*planck(1e6 / mired))
        return (at_u - u) ** 2 + (at_v - v) ** 2

    while high - low > 0.01:
        third = (high - low) / 3
        if off(low + third) < off(high - third):
            high -= third
        else:
            low += third
    return (low + high) / 2


@functools.cache
def _locus():
    """(mired, u, v) every 10 mired, 10..1000."""
    return [(mired,) + uv(*planck(1e6 / mired)) for mired in range(10, 1001, 10)]
