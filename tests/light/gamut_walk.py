"""Walks straight paths through the gamuts of emitter sets and past their edges, in single precision. The light is
judged by SciPy's linear program, at the wish inside the gamut and at what was made of it outside."""

import math

import numpy as np

from firmware.light import colour, white
from tests.light import optimum, single

_STEPS = 30
_HALVINGS = 13  # of the widest step: to about a millionth in xy, a dozen steps of single precision there


def worst(kind, dice, sets, paths=3):
    """The worst of so many sets that kind(dice) makes: {jump: the greatest change of a drive that is left over a
    millionth in xy; light_percent: below the linear program's, 0 if never; xy: from the wish; n: wishes judged}."""
    emitters, faces = single.load("emitters"), single.load("emitters_faces")
    found = {"jump": 0.0, "light_percent": 0.0, "xy": 0.0, "n": 0}
    for _ in range(sets):
        lamp = kind(dice)
        try:
            mix = faces.prepare(single.single(lamp))
        except ValueError:  # too much alike to be told apart: refused by name
            continue
        for _ in range(paths):
            a, b = [(wish if dice.random() < 0.5 else far)(dice, lamp) for _ in "ab"]
            over = dice.choice((None, single.single(white.xy(dice.uniform(2500.0, 9000.0)))))

            def solved(u, mix=mix, a=a, b=b, over=over):
                return emitters.solve(mix, *[np.float32(p + (q - p) * u) for p, q in zip(a, b, strict=True)], over)

            keep(found, "jump", jump(lambda u: solved(u)[0]))
            for u in (0, 0.5, 1):
                drives, _light, miss = solved(u)
                judge(found, lamp, None if miss else [p + (q - p) * u for p, q in zip(a, b, strict=True)], drives)
    return found


def wish(dice, lamp):
    """A chromaticity in the gamut, mostly on the line between the last emitter and another."""
    weights = [dice.random() ** 3 for _ in lamp]
    if dice.random() < 0.7:
        chosen = len(lamp) - 1, dice.randrange(len(lamp) - 1)
        weights = [w if k in chosen else 0 for k, w in enumerate(weights)]
    return [sum(w * e[c] for w, e in zip(weights, lamp, strict=True)) / sum(weights) for c in (1, 2)]


def far(dice, _lamp):
    """A strong colour, which most sets cannot make."""
    return list(colour.over_white(dice.uniform(0, 360), dice.uniform(0.7, 1), dice.uniform(2500, 9000)))


def jump(drives):
    """What is left of the widest of the steps from drives(0) to drives(1) when it is halved again and again."""
    made = [drives(k / _STEPS) for k in range(_STEPS + 1)]
    k = max(range(_STEPS), key=lambda k: distance(made[k], made[k + 1]))
    *_, (_place, left) = halved(drives, k / _STEPS, made[k], (k + 1) / _STEPS, made[k + 1], _HALVINGS)
    return left


def halved(drives, low, at_low, high, at_high, times):
    """Halve a step so many times, and go on with the wider half -> pairs of where it begins, and what is left of it."""
    for _ in range(times):
        middle = (low + high) / 2
        at_middle = drives(middle)
        if distance(at_low, at_middle) > distance(at_middle, at_high):
            high, at_high = middle, at_middle
        else:
            low, at_low = middle, at_middle
        yield low, distance(at_low, at_high)


def distance(a, b):
    return max(abs(float(p) - float(q)) for p, q in zip(a, b, strict=True))


def judge(found, lamp, wanted, drives):
    x, y, light = optimum.made(lamp, drives)
    wanted = wanted or (x, y)
    most = optimum.most_light(lamp, *wanted)
    found["n"] += 1
    keep(found, "xy", math.hypot(x - wanted[0], y - wanted[1]))
    if most:
        keep(found, "light_percent", 100 * (1 - light / most))


def keep(found, key, value):
    found[key] = max(found[key], value)
