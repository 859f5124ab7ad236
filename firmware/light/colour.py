"""Coloured light: hue and saturation over a white, screen colours, colour differences. Pure functions.

Hue and saturation are those of Oklab (B. Ottosson, 2020, "A perceptual color space for image processing"), as an eye
sees them that is adapted to the chosen white (its cone signals are scaled to that white, after von Kries). There equal
steps look about equal, and a hue stays the same while it pales. Hue 0 is the red of a screen, so that 0, 81, 113, 166,
235, 299 degrees are a screen's red, yellow, green, cyan, blue and magenta. Saturation 1 is about the purest real light
of that hue.
"""

from math import cos, pi, sin, sqrt

from firmware.light import white

RED = 29.2339  # degrees, Oklab's hue of the sRGB red primary
_THIRD = 1 / 3
_LEAST_XZ = -0.05
_LEAST_Y = 0.002  # y stays above this, so that a wish past the violet end of real light divides by no zero

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
    """Chromaticity (x, y) of a colour over a white. hue: degrees; sat: 0..1; cct: K, 1000..25000; duv: CIE 1960.
    Errors: ValueError from white.xy. Source: Oklab."""
    over = white.xy(cct, duv)
    return over_xy(hue, sat, cct, over) if sat > 0 else over


def over_xy(hue, sat, cct, over):
    """As over_white, where the white's chromaticity is known: over, (x, y)."""
    chroma = sat * purest(hue, cct)
    angle = (hue + RED) * pi / 180
    return _from_plane(chroma * cos(angle), chroma * sin(angle), cones(*over))


def ray(x, y, wx, wy):
    """The line of equal hue from a white (wx, wy) through (x, y) -> a tuple for on_ray."""
    lms = cones(wx, wy)
    return to_plane(x, y, lms) + (lms,)


def on_ray(line, share):
    """Chromaticity (x, y) on a ray, at a share of the distance from its white (0) to the colour that it goes through
    (1)."""
    return _from_plane(line[0] * share, line[1] * share, line[2])


def srgb(x, y, level=1.0):
    """Screen colour (r, g, b), each 0..255, of a light of this chromaticity, at level 0..1 of the brightest that the
    screen has of it. What the screen cannot show is cut to its edge. Source: IEC 61966-2-1."""
    z = 1 - x - y
    rgb = (
        3.2406 * x - 1.5372 * y - 0.4986 * z,
        -0.9689 * x + 1.8758 * y + 0.0415 * z,
        0.0557 * x - 0.2040 * y + 1.0570 * z,
    )
    scale = level / max(rgb)
    return tuple([_coded(c * scale) for c in rgb])


def delta_uv(x1, y1, x2, y2):
    """Distance of two chromaticities in CIE 1976 u'v'. About 0.002 is visible side by side (common practice)."""
    d1 = 12 * y1 - 2 * x1 + 3
    d2 = 12 * y2 - 2 * x2 + 3
    du = 4 * (x1 / d1 - x2 / d2)
    dv = 9 * (y1 / d1 - y2 / d2)
    return sqrt(du * du + dv * dv)


def purest(hue, cct):
    """Chroma / lightness that counts as saturation 1, for a hue in degrees over a white of cct K."""
    across = hue % 360 / 10
    h = int(across) % 36
    down = min(max(white.mired(cct) - 80, 0), 480) / 120
    row = min(int(down), 3)
    across -= int(across)
    down -= row
    return (_mixed(row * 36, h, across) * (1 - down) + _mixed(row * 36 + 36, h, across) * down) / 128


def _mixed(row, h, share):
    return _PUREST[row + h] * (1 - share) + _PUREST[row + (h + 1) % 36] * share


def cones(x, y):
    """Oklab's cone signals of a chromaticity (of X = x, Y = y, Z = 1 - x - y)."""
    z = 1 - x - y
    return (
        0.8189330101 * x + 0.3618667424 * y - 0.1288597137 * z,
        0.0329845436 * x + 0.9293118715 * y + 0.0361456387 * z,
        0.0482003018 * x + 0.2643662691 * y + 0.6338517070 * z,
    )


def to_plane(x, y, lms):
    """Oklab's a / L and b / L, which do not depend on luminance, over the white that has the cone signals lms."""
    l, m, s = cones(x, y)  # noqa: E741
    l = (max(l, 0.0) / lms[0]) ** _THIRD  # noqa: E741
    m = (max(m, 0.0) / lms[1]) ** _THIRD
    s = (max(s, 0.0) / lms[2]) ** _THIRD
    bright = 0.2104542553 * l + 0.7936177850 * m - 0.0040720468 * s
    return (
        (1.9779984951 * l - 2.4285922050 * m + 0.4505937099 * s) / bright,
        (0.0259040371 * l + 0.7827717662 * m - 0.8086757660 * s) / bright,
    )


def _from_plane(p, q, lms):
    """Chromaticity (x, y) of Oklab's a / L and b / L: the inverse of to_plane."""
    l = max(1 + 0.3963377774 * p + 0.2158037573 * q, 0.0)  # noqa: E741
    m = max(1 - 0.1055613458 * p - 0.0638541728 * q, 0.0)
    s = max(1 - 0.0894841775 * p - 1.2914855480 * q, 0.0)
    l, m, s = l * l * l * lms[0], m * m * m * lms[1], s * s * s * lms[2]  # noqa: E741
    xs = 1.2270138511 * l - 0.5577999807 * m + 0.2812561490 * s
    ys = -0.0405801784 * l + 1.1122568696 * m - 0.0716766787 * s
    total = 1.1100523882 * l + 0.1329749105 * m + 1.7957426907 * s  # X + Y + Z
    zs = total - xs - ys
    # No light has X, Y or Z below zero (CIE 015). A wish far past real light is limited to near there, without a jump.
    most = max(xs, 0) + max(ys, 0) + max(zs, 0)
    xs, ys, zs = max(xs, _LEAST_XZ * most), max(ys, _LEAST_Y * most), max(zs, _LEAST_XZ * most)
    total = xs + ys + zs
    return xs / total, ys / total


def _coded(share):
    """sRGB code value 0..255 of a linear share."""
    share = min(max(share, 0.0), 1.0)
    return int(255 * (share * 12.92 if share <= 0.0031308 else 1.055 * share ** (1 / 2.4) - 0.055) + 0.5)
