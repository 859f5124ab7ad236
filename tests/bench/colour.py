"""Worst errors of the mathematics of light, in single precision as on the chips, over 10,000 whites and 10,000 mixes.

Judges: colour-science for whites (Planckian locus, CIE 1931 observer; Duv as Ohno 2013 lays it off), SciPy's linear
program for emitters. `tests/light/single.py` says how single precision is had on a desktop.
"""

import math
import warnings

import numpy as np

from tests.light import gamut_walk, lamps, optimum, single

_CCTS, _DUVS = 400, 25  # 1800..12000 K in equal steps of mired, Duv -0.03..0.03
_MIXES = 10000
_ODD = 150  # sets of each odd kind


def figures():
    """xy_worst: of white.xy, in x or y; cct_worst_percent, duv_worst: of inverse.cct_duv on the judge's chromaticities;
    solve_xy_worst, solve_light_worst_percent (below the most that there is, 0 if never) of emitters.solve inside the
    gamuts of eight kinds of set, each lamp varied; the same and jump_worst (of a drive, within a millionth in xy) for
    sets anywhere in the real colours (any_*), with an emitter on the line between two others (in_line_*), and with one
    nearly like another (alike_*); operations_*: float operations of one call."""
    found = {"n": _CCTS * _DUVS + _MIXES}
    found.update(whites())
    found.update(mixes())
    found.update(odd())
    found.update(operations())
    return found


def whites():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    white, inverse = single.load("white"), single.load("chromaticity")
    worst = dict.fromkeys(("xy_worst", "cct_worst_percent", "duv_worst"), 0.0)
    for cct in 1e6 / np.linspace(1e6 / 12000, 1e6 / 1800, _CCTS):
        for duv in np.linspace(-0.03, 0.03, _DUVS):
            judged = colour.UCS_uv_to_xy(colour.temperature.CCT_to_uv_Ohno2013([cct, duv]))
            x, y = white.xy(np.float32(cct), np.float32(duv))
            keep(worst, "xy_worst", max(abs(float(x) - judged[0]), abs(float(y) - judged[1])))
            got, off = inverse.cct_duv(np.float32(judged[0]), np.float32(judged[1]))
            keep(worst, "cct_worst_percent", 100 * abs(float(got) / cct - 1))
            keep(worst, "duv_worst", abs(float(off) - duv))
    return {key: round(value, 6) for key, value in worst.items()}


def mixes():
    emitters, faces = single.load("emitters"), single.load("emitters_faces")
    dice = lamps.dice(21)
    worst = dict.fromkeys(("solve_xy_worst", "solve_light_worst_percent"), 0.0)
    for n in range(_MIXES):
        if n % 20 == 0:
            lamp = lamps.some(dice)
            mix = faces.prepare(single.single(lamp))
            points = np.array([e[1:3] for e in lamp])
        weights = np.array([dice.random() ** 3 for _ in lamp])
        x, y = weights @ points / weights.sum()
        drives, _, _ = emitters.solve(mix, np.float32(x), np.float32(y))
        gx, gy, light = optimum.made(lamp, drives)
        keep(worst, "solve_xy_worst", math.hypot(gx - x, gy - y))
        best = optimum.most_light(lamp, x, y)
        if best:
            keep(worst, "solve_light_worst_percent", 100 * (1 - light / best))
    return {key: round(value, 6) for key, value in worst.items()}


def odd():
    """Sets that are harder to mix than those of lamps."""
    found = {}
    for name, kind in (("any", lamps.anywhere), ("in_line", lamps.in_line), ("alike", lamps.alike)):
        walk = gamut_walk.worst(kind, lamps.dice(22), _ODD)
        found[name + "_jump_worst"] = round(walk["jump"], 4)
        found[name + "_light_worst_percent"] = round(walk["light_percent"], 4)
        found[name + "_xy_worst"] = round(walk["xy"], 6)
    return found


def operations():
    """Float operations of one call, from which its time on a chip follows."""
    names = ("white", "colour", "emitters", "chromaticity", "emitters_faces")
    white, colour, emitters, inverse, faces = map(single.load, names)
    rgbw, six = (faces.prepare(single.single(lamps.SETS[name])) for name in ("rgbw", "rgbacl"))
    return {
        "operations_xy": single.counted(white.xy, 5600.0, 0.01),
        "operations_cct_duv": single.counted(inverse.cct_duv, 0.33, 0.35),
        "operations_over_white": single.counted(colour.over_white, 200.0, 0.5, 5600.0),
        "operations_solve_rgbw": single.counted(emitters.solve, rgbw, 0.38, 0.37),
        "operations_solve_rgbacl": single.counted(emitters.solve, six, 0.38, 0.37),
        "operations_solve_outside": single.counted(emitters.solve, rgbw, 0.1, 0.8),
    }


def keep(worst, key, value):
    worst[key] = max(worst[key], float(value))
