"""What lamps give of frames, for counting flashes: relative luminance and linear sRGB over time, by a dimming curve
that the firmware is not told. Nothing of the firmware's mathematics.

Curves: light = drive, drive ** 2.2, 3 d^2 - 2 d^3: the usual ones (common practice). Emitters: chromaticity and output
of the personality; XYZ to linear sRGB by IEC 61966-2-1. A lamp with hue and saturation is one of red, green and blue.
"""

import colorsys

CURVES = {"linear": lambda d: d, "square": lambda d: d ** 2.2, "s": lambda d: d * d * (3 - 2 * d),
          "squared": lambda d: d * d}
USUAL = ("linear", "square", "s")
_MATRIX = ((3.2406, -1.5372, -0.4986), (-0.9689, 1.8758, 0.0415), (0.0557, -0.2040, 1.0570))
_LUMINANCE = (0.2126, 0.7152, 0.0722)  # of linear sRGB: WCAG 2.2, relative luminance


def rows(fixture, frames, curve, wheel="coloured"):
    """[(Y, R, G, B)] of a fixture in each frame: shares of full. curve: a name of CURVES; wheel: "level": its colours
    are as bright as its white."""
    p, law, known = fixture.personality, CURVES[curve], {}
    out = []
    for frame in frames:
        part = frame[fixture.address - 1:fixture.last()]
        if part not in known:
            known[part] = _light(p, part, law, wheel)
        out.append(known[part])
    return out


def _light(p, slots, law, wheel):
    values = {}
    for does, coarse, fine, *_rest in p.channels:
        values[does] = (slots[coarse] << 8 | slots[fine]) / 65535 if fine >= 0 else slots[coarse] / 255
    level = law(values.get("level", 1.0))
    if p.emitters:
        return _emitters(p, values, law, level)
    if "hue" in values:
        red, green, blue = colorsys.hsv_to_rgb(values["hue"], values["sat"] * values.get("mix", 1.0), 1.0)
        y = sum(a * b for a, b in zip(_LUMINANCE, (red, green, blue), strict=True)) if wheel == "coloured" else 1.0
        return level * y, level * red, level * green, level * blue
    return level, level, level, level


def _emitters(p, values, law, level):
    whole = sum(e[3] for e in p.emitters)
    total, reddest = [0.0, 0.0, 0.0], 0.0
    for name, x, y, out in p.emitters:
        linear = [sum(m * c for m, c in zip(row, (x / y, 1, (1 - x - y) / y), strict=True)) * out for row in _MATRIX]
        reddest = max(reddest, linear[0])  # R = 1 is the reddest emitter at full
        for n in range(3):
            total[n] += linear[n] * law(values[name]) * level
    luminance = sum(law(values[name]) * out for name, _x, _y, out in p.emitters) * level / whole
    return luminance, *[max(0.0, v) / reddest for v in total]


def mean(rows_):
    """The sum of lamps as one, [(Y, R, G, B)], relative to all of them at full."""
    return [tuple(sum(values) / len(rows_) for values in zip(*at, strict=True)) for at in zip(*rows_, strict=True)]
