"""Coloured light: hue and saturation over a white, screen colours, gels, colour differences. Pure functions.

Hue and saturation are those of Oklab (B. Ottosson, 2020, "A perceptual color space for image processing"),
seen by an eye at home in the chosen white (its cone signals are scaled to that white, after von Kries).
There equal steps look about equal, and a hue stays itself as it pales. Hue 0 is the red of a screen, so that
0, 81, 113, 166, 235, 299 degrees are a screen's red, yellow, green, cyan, blue and magenta. Saturation 1 is
about the purest real light of that hue.
"""

from math import atan2, cos, pi, sin, sqrt

from firmware.light import white

_RED = 29.2339  # Oklab's hue of the sRGB red primary
_THIRD = 1 / 3
_LEAST_Y = 0.002  # y is held above this: asks past the violet end of real light must not divide by zero

# Chroma / lightness of the purest real light (spectral locus 400..700 nm and purple line, CIE 1931), in
# 1/128, every 10 degrees of hue; a row for each white of 80, 200, 320, 440, 560 mired. Lowered a little where
# the straight line between two entries would leave the real colours.
_PUREST = (
    b"\x45\x37\x30\x2b\x28\x26\x26\x27\x29\x2d\x33\x3d\x4c\x5d\x63\x68\x6e\x72"
    b"\x71\x6c\x67\x64\x62\x63\x65\x6b\x77\x89\x84\x7c\x73\x69\x60\x5a\x55\x53"
    b"\x32\x29\x23\x1f\x1d\x1c\x1c\x1c\x1e\x21\x26\x2d\x3a\x4f\x5e\x63\x68\x6f"
    b"\x76\x79\x7b\x7b\x7c\x7f\x84\x8d\x9d\xaa\x99\x85\x71\x62\x57\x4f\x4b\x45"
    b"\x20\x1a\x16\x14\x12\x12\x12\x12\x13\x15\x18\x1d\x26\x38\x54\x60\x65\x6b"
    b"\x73\x7e\x86\x8d\x92\x99\xa2\xae\xc5\xc5\xa4\x82\x68\x57\x4c\x44\x3e\x2c"
    b"\x12\x0e\x0c\x0b\x0a\x0a\x0a\x0a\x0b\x0c\x0d\x10\x15\x1e\x3a\x5e\x64\x6a"
    b"\x72\x7e\x8b\x97\xa1\xac\xb8\xc7\xe3\xd5\xa2\x76\x5b\x4b\x40\x39\x28\x18"
    b"\x09\x07\x06\x06\x05\x05\x05\x05\x05\x06\x07\x08\x0b\x10\x25\x5d\x66\x6c"
    b"\x74\x7f\x8e\x9c\xaa\xb8\xc6\xd8\xf7\xd8\x96\x68\x4e\x40\x36\x30\x15\x0c"
)


def over_white(hue, sat, cct, duv=0.0):
    """Chromaticity (x, y) of a colour over a white. hue: degrees; sat: 0..1; cct: K, 1000..25000; duv: CIE
    1960. Errors: ValueError from white.xy. Source: Oklab."""
    wx, wy = white.xy(cct, duv)
    if not sat > 0:
        return wx, wy
    chroma = sat * _purest(hue, cct)
    angle = (hue + _RED) * pi / 180
    return _from_plane(chroma * cos(angle), chroma * sin(angle), _lms(wx, wy))


def hue_sat(x, y, cct, duv=0.0):
    """Hue (0..360 degrees) and saturation (0 and up; above 1 where no real light is) of a chromaticity over a
    white: the inverse of over_white. Hue is 0 where there is no colour to speak of."""
    p, q = _to_plane(x, y, _lms(*white.xy(cct, duv)))
    chroma = sqrt(p * p + q * q)
    if chroma < 1e-5:
        return 0.0, 0.0
    hue = (atan2(q, p) * 180 / pi - _RED) % 360
    return hue, chroma / _purest(hue, cct)


def ray(x, y, wx, wy):
    """The line of equal hue from a white (wx, wy) through (x, y): a tuple for on_ray."""
    lms = _lms(wx, wy)
    return _to_plane(x, y, lms) + (lms,)


def on_ray(line, share):
    """Chromaticity (x, y) at a share of the way from the white (0) to the colour (1) that a ray was made of."""
    return _from_plane(line[0] * share, line[1] * share, line[2])


def rgb_xy(r, g, b):
    """Chromaticity and level (x, y, level) of a screen colour of 0..255 each: the inverse of srgb. Black is
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


def srgb(x, y, level=1.0):
    """Screen colour (r, g, b) of 0..255 that shows a light of this chromaticity, at level 0..1 of the
    brightest the screen has of it; what it cannot show is cut to its edge. Source: IEC 61966-2-1."""
    z = 1 - x - y
    rgb = (
        3.2406 * x - 1.5372 * y - 0.4986 * z,
        -0.9689 * x + 1.8758 * y + 0.0415 * z,
        0.0557 * x - 0.2040 * y + 1.0570 * z,
    )
    scale = level / max(rgb)
    return tuple([_coded(c * scale) for c in rgb])


def gel(gx, gy, transmission, seen, lit):
    """Chromaticity and transmission (x, y, share) of a gel before another white.

    gx, gy, transmission 0..1: as printed for the gel before the white seen, an (x, y); lit: (x, y) of the white it
    now stands before. An estimate from three numbers, as if it had one transmission in each of three bands (the
    primaries of ITU-R BT.2020); a spectrum would be exact. Errors: ValueError for a transmission outside 0..1.
    """
    if not (0 < transmission <= 1 and gy > 0):
        raise ValueError("gel of x %s, y %s, transmission %s: no such gel" % (gx, gy, transmission))
    scale = transmission * seen[1] / gy
    bands, was, now = _bands(gx, gy), _bands(*seen), _bands(*lit)
    r, g, b = [bands[k] / was[k] * scale * now[k] for k in range(3)]
    xs = 0.6369580 * r + 0.1446169 * g + 0.1688810 * b
    ys = 0.2627002 * r + 0.6779981 * g + 0.0593017 * b
    total = xs + ys + 0.0280727 * g + 1.0609851 * b
    return xs / total, ys / total, ys / lit[1]


def delta_uv(x1, y1, x2, y2):
    """Distance of two chromaticities in CIE 1976 u'v'. About 0.002 shows side by side (common practice)."""
    d1 = 12 * y1 - 2 * x1 + 3
    d2 = 12 * y2 - 2 * x2 + 3
    du = 4 * (x1 / d1 - x2 / d2)
    dv = 9 * (y1 / d1 - y2 / d2)
    return sqrt(du * du + dv * dv)


def _purest(hue, cct):
    """Chroma / lightness that counts as saturation 1."""
    across = hue % 360 / 10
    h = int(across) % 36
    down = min(max(white.mired(cct) - 80, 0), 480) / 120
    row = min(int(down), 3)
    across -= int(across)
    down -= row
    return (_mixed(row * 36, h, across) * (1 - down) + _mixed(row * 36 + 36, h, across) * down) / 128


def _mixed(row, h, share):
    return _PUREST[row + h] * (1 - share) + _PUREST[row + (h + 1) % 36] * share


def _lms(x, y):
    """Oklab's cone signals of a chromaticity (of X = x, Y = y, Z = 1 - x - y)."""
    z = 1 - x - y
    return (
        0.8189330101 * x + 0.3618667424 * y - 0.1288597137 * z,
        0.0329845436 * x + 0.9293118715 * y + 0.0361456387 * z,
        0.0482003018 * x + 0.2643662691 * y + 0.6338517070 * z,
    )


def _bands(x, y):
    """A chromaticity (of X = x, Y = y, Z = 1 - x - y) in the primaries of ITU-R BT.2020."""
    z = 1 - x - y
    return (
        1.7166512 * x - 0.3556708 * y - 0.2533663 * z,
        -0.6666844 * x + 1.6164812 * y + 0.0157685 * z,
        0.0176399 * x - 0.0427706 * y + 0.9421031 * z,
    )


def _to_plane(x, y, lms):
    """Oklab's a / L and b / L, which do not depend on luminance, over the white of these cone signals."""
    l, m, s = _lms(x, y)  # noqa: E741
    l = (max(l, 0.0) / lms[0]) ** _THIRD  # noqa: E741
    m = (max(m, 0.0) / lms[1]) ** _THIRD
    s = (max(s, 0.0) / lms[2]) ** _THIRD
    bright = 0.2104542553 * l + 0.7936177850 * m - 0.0040720468 * s
    return (
        (1.9779984951 * l - 2.4285922050 * m + 0.4505937099 * s) / bright,
        (0.0259040371 * l + 0.7827717662 * m - 0.8086757660 * s) / bright,
    )


def _from_plane(p, q, lms):
    """Chromaticity of Oklab's a / L and b / L: the inverse of _to_plane."""
    l = max(1 + 0.3963377774 * p + 0.2158037573 * q, 0.0)  # noqa: E741
    m = max(1 - 0.1055613458 * p - 0.0638541728 * q, 0.0)
    s = max(1 - 0.0894841775 * p - 1.2914855480 * q, 0.0)
    l, m, s = l * l * l * lms[0], m * m * m * lms[1], s * s * s * lms[2]  # noqa: E741
    xs = 1.2270138511 * l - 0.5577999807 * m + 0.2812561490 * s
    ys = -0.0405801784 * l + 1.1122568696 * m - 0.0716766787 * s
    total = 1.1100523882 * l + 0.1329749105 * m + 1.7957426907 * s  # X + Y + Z
    if ys < _LEAST_Y * total:
        total += _LEAST_Y * total - ys
        ys = _LEAST_Y * total
    return xs / total, ys / total


def _linear(code):
    """Linear share of an sRGB code value 0..255."""
    c = code / 255
    return c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4


def _coded(share):
    """sRGB code value 0..255 of a linear share."""
    share = min(max(share, 0.0), 1.0)
    return int(255 * (share * 12.92 if share <= 0.0031308 else 1.055 * share ** (1 / 2.4) - 0.055) + 0.5)
