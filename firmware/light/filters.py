"""Correction filters and gels: the trade's names, and what they do to a white. Pure functions."""

from firmware.light import white

# Mired shifts of orange (warming, +) and blue (cooling, -) correction. Common practice, no standard: round
# figures in the middle of what is sold, which scatters by 15 mired; a colour meter decides.
CTO = (("1/8", 23), ("1/4", 55), ("1/2", 100), ("3/4", 130), ("full", 160))
CTB = (("1/8", -15), ("1/4", -33), ("1/2", -72), ("3/4", -100), ("full", -134))


def green_duv(name):
    """The Duv of a trade name as white.green_fraction gives it. Errors: ValueError for a name that is none."""
    for fraction, value in white.GREENS:
        if name[1:] == fraction and name[:1] in ("+", "-"):
            return value if name[:1] == "+" else -value
    if name == "0":
        return 0.0
    raise ValueError("green fraction %r: use 0, or + or - with 1/8, 1/4, 1/2, full" % name)


def gel(gx, gy, transmission, seen, lit):
    """Chromaticity and transmission (x, y, share) of a gel in front of another white.

    gx, gy, transmission: as printed for the gel in front of the white `seen`, an (x, y); transmission is above 0, up to
    1. lit: (x, y) of the white that it is in front of now. An estimate from three numbers, as if the gel had one
    transmission in each of three bands (the primaries of ITU-R BT.2020); a spectrum would be exact. Errors: ValueError
    for a gel that cannot be.
    """
    if not (0 < transmission <= 1 and gy > 0):
        raise ValueError("gel of x %s, y %s, transmission %s: no such gel" % (gx, gy, transmission))
    scale = transmission * seen[1] / gy
    bands, before, now = _bands(gx, gy), _bands(*seen), _bands(*lit)
    r, g, b = [bands[k] / before[k] * scale * now[k] for k in range(3)]
    xs = 0.6369580 * r + 0.1446169 * g + 0.1688810 * b
    ys = 0.2627002 * r + 0.6779981 * g + 0.0593017 * b
    total = xs + ys + 0.0280727 * g + 1.0609851 * b
    return xs / total, ys / total, ys / lit[1]


def _bands(x, y):
    """A chromaticity (of X = x, Y = y, Z = 1 - x - y) in the primaries of ITU-R BT.2020."""
    z = 1 - x - y
    return (
        1.7166512 * x - 0.3556708 * y - 0.2533663 * z,
        -0.6666844 * x + 1.6164812 * y + 0.0157685 * z,
        0.0176399 * x - 0.0427706 * y + 0.9421031 * z,
    )
