"""Emitter mixing against a general linear program (SciPy), along fades, over random sets, and fed rubbish."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from firmware.light import chromaticity, colour, emitters, emitters_faces, white
from tests.light import lamps, optimum, single
from tests.light.gamut_walk import distance, halved


def asks(dice, emitters_, count):
    """Chromaticities all over the gamut, more of them near its edges and corners."""
    points = np.array([e[1:3] for e in emitters_])
    for _ in range(count):
        weights = np.array([dice.random() ** 3 for _ in emitters_])
        yield tuple(float(c) for c in weights @ points / weights.sum())


@pytest.mark.parametrize("precision", ["double", "single"])
@pytest.mark.parametrize("name", sorted(lamps.SETS))
def test_light_and_colour_are_the_linear_programs(name, precision):
    solver, maker = emitters, emitters_faces
    if precision == "single":
        solver, maker = single.load("emitters"), single.load("emitters_faces")
    lamp = lamps.SETS[name]
    mix = maker.prepare(single.single(lamp) if precision == "single" else lamp)
    for x, y in asks(lamps.dice(name), lamp, 40):
        ask = single.single((x, y)) if precision == "single" else (x, y)
        drives, light, miss = solver.solve(mix, *ask)
        assert all(0 <= d <= 1 for d in drives)
        best = optimum.most_light(lamp, x, y)
        gx, gy, glight = optimum.made(lamp, drives)
        assert math.hypot(gx - x, gy - y) < 0.001, (x, y, drives)
        assert glight == pytest.approx(light, rel=0.02)
        assert miss < 1e-3
        if best:
            assert glight > best * 0.99, (x, y, drives)


@settings(max_examples=60)
@given(st.integers(0, 10**6))
def test_any_set_of_emitters_mixes_as_the_linear_program_does(seed):
    """3 to 7 emitters anywhere in the real colours, with any outputs 1 : 40."""
    dice = lamps.dice(seed)
    lamp = tuple(
        ("e%d" % n, *colour.over_white(dice.uniform(0, 360), dice.random() ** 0.5, dice.uniform(2000, 9000)),
         dice.uniform(0.05, 2)) for n in range(dice.randint(3, 7))
    )
    try:
        mix = emitters_faces.prepare(lamp)
    except ValueError:
        assume(False)
    for x, y in asks(dice, lamp, 3):
        drives, _, _ = emitters.solve(mix, x, y)
        gx, gy, light = optimum.made(lamp, drives)
        assert math.hypot(gx - x, gy - y) < 0.002
        best = optimum.most_light(lamp, x, y)
        assert best is None or light > 0.99 * best


def fade(dice):
    """A random fade as the stage makes it: hue, saturation, mired and Duv in equal steps; (x, y, white) at u."""
    a, b = (
        (dice.uniform(0, 360), dice.choice((0, dice.random(), 1)), dice.uniform(80, 550), dice.uniform(-0.02, 0.02))
        for _ in range(2)
    )

    def at(u):
        hue, sat, mired, duv = (p + (q - p) * u for p, q in zip(a, b, strict=True))
        return colour.over_white(hue, sat, 1e6 / mired, duv), white.xy(1e6 / mired, duv)

    return at


def test_a_thousand_fades_walk_without_a_jump():
    """Where two neighbouring steps of a fade differ by more than a tenth in some drive, the way between is halved
    again and again: a steep slope flattens, a jump would not."""
    dice = lamps.dice(11)
    steps, steep = 60, 0
    for _ in range(1000):
        lamp = lamps.some(dice)
        mix = emitters_faces.prepare(lamp)
        at = fade(dice)

        def drives(u, mix=mix, at=at):
            (x, y), over = at(u)
            return emitters.solve(mix, x, y, over)[0]

        last = drives(0)
        for k in range(1, steps + 1):
            now = drives(k / steps)
            assert min(now) >= 0 and max(now) <= 1
            if distance(last, now) > 0.1:
                steep += 1
                assert_walkable(drives, (k - 1) / steps, last, k / steps, now)
            last = now
    assert steep > 100  # the walk has met steep places, or it would show nothing


def assert_walkable(drives, low, at_low, high, at_high):
    for step in halved(drives, low, at_low, high, at_high, 12):
        if step[1] < 0.05:
            return
    raise AssertionError(f"a jump of {step[1]} near {step[0]} of the fade, between {(low, high)}")


def test_the_light_made_moves_no_faster_than_the_ask():
    """Along 200 fades inside and outside the gamut: the colour made keeps to the colour asked for."""
    dice = lamps.dice(12)
    for _ in range(200):
        lamp = lamps.some(dice)
        mix, at = emitters_faces.prepare(lamp), fade(dice)
        for k in range(41):
            (x, y), over = at(k / 40)
            drives, light, miss = emitters.solve(mix, x, y, over)
            gx, gy, glight = optimum.made(lamp, drives)
            assert glight == pytest.approx(light, rel=0.03)
            assert colour.delta_uv(gx, gy, x, y) == pytest.approx(miss, abs=0.003)


def test_outside_the_gamut_hue_stays_and_the_miss_is_told():
    """Hue as Oklab sees it over the white of the look; many asks at full saturation are outside."""
    dice, outside = lamps.dice(13), 0
    for _ in range(400):
        mix = emitters_faces.prepare(lamps.some(dice))
        cct, hue = dice.uniform(2700, 8000), dice.uniform(0, 360)
        over = white.xy(cct)
        if emitters.solve(mix, *over)[2]:
            continue  # a lamp that cannot make the white has no hue line from it
        x, y = colour.over_white(hue, 1, cct)
        drives, _, miss = emitters.solve(mix, x, y, over)
        gx, gy, _ = emitters.read(mix, drives)
        assert miss == pytest.approx(colour.delta_uv(gx, gy, x, y), abs=2e-4)
        if miss > 0.005:
            outside += 1
            assert abs((chromaticity.hue_sat(gx, gy, cct)[0] - hue + 180) % 360 - 180) < 1.5
    assert outside > 100


def test_white_emitters_carry_white_light():
    """Of all mixes with 99 % of the most light (linear program), ours has the most white in RGBW and RGBWW."""
    dice = lamps.dice(14)
    for name in ("rgbw", "rgbww"):
        lamp = lamps.SETS[name]
        mix = emitters_faces.prepare(lamp)
        is_white = np.array([e[0] in ("warm", "cool") for e in lamp], float)
        out = np.array([e[3] for e in lamp])
        shares = []
        for _ in range(60):
            sat = dice.choice((0, 0.1, 0.3))
            x, y = colour.over_white(dice.uniform(0, 360), sat, dice.uniform(2500, 9000))
            drives, light, miss = emitters.solve(mix, x, y)
            if not miss:
                most = optimum.most_white(lamp, x, y, 0.99 * light, is_white)
                shares.append((out * is_white) @ np.array(drives) / most)
        assert len(shares) > 30
        assert sum(shares) / len(shares) > 0.99


def test_held_back_colours_give_more_of_the_white_and_the_same_chromaticity():
    lamp = lamps.SETS["rgbww"]
    most, rich = emitters_faces.prepare(lamp), emitters_faces.prepare(lamp, 0.1)
    x, y = white.xy(4300)
    drives, light, _ = emitters.solve(rich, x, y)
    assert optimum.made(lamp, drives) == pytest.approx((x, y, light), abs=1e-4)
    assert max(drives) == pytest.approx(1)
    plain = emitters.solve(most, x, y)
    assert light < plain[1]
    assert (drives[3] * 1.4 + drives[4] * 1.5) / light > (plain[0][3] * 1.4 + plain[0][4] * 1.5) / plain[1]


def test_amber_is_no_white_to_be_preferred():
    lamp = lamps.SETS["rgbaw"]
    x, y = white.xy(2700)
    most, rich = (emitters.solve(emitters_faces.prepare(lamp, colours), x, y)[0] for colours in (1, 0.1))
    assert rich[3] / rich[4] < most[3] / most[4]  # of amber to white
    with pytest.raises(ValueError, match="held back to 0: "):
        emitters_faces.prepare(lamp, 0)


def test_two_emitters_make_the_nearest_of_their_line():
    mix = emitters_faces.prepare((lamps.SETS["rgbww"][3], lamps.SETS["rgbww"][4]))
    for cct in range(2700, 6600, 300):
        x, y = white.xy(cct)
        drives, light, miss = emitters.solve(mix, x, y)
        gx, gy, glight = emitters.read(mix, drives)
        assert max(drives) == pytest.approx(1) and min(drives) >= 0
        assert light == pytest.approx(glight)
        pairs = [(1, k / 400) for k in range(401)] + [(k / 400, 1) for k in range(401)]
        nearest = min(pairs, key=lambda pair: colour.delta_uv(x, y, *emitters.read(mix, pair)[:2]))
        assert miss == pytest.approx(colour.delta_uv(x, y, *emitters.read(mix, nearest)[:2]), abs=1e-5)
        assert drives == pytest.approx(nearest, abs=0.006)


def test_read_is_additive_mixing_in_xyz():
    lamp = lamps.SETS["rgbacl"]
    mix = emitters_faces.prepare(lamp)
    drives = (0.3, 0.1, 0.9, 0.2, 0.4, 0.05)
    assert emitters.read(mix, drives) == pytest.approx(optimum.made(lamp, drives), abs=5e-4)
    assert emitters.read(mix, (0,) * 6)[2] == 0


@pytest.mark.parametrize(
    ("lamp", "named"),
    [
        ([("red", 0.69, 0.308, 1)], "1 emitters"),
        ([("e", 0.3 + n / 100, 0.3, 1) for n in range(8)], "8 emitters"),
        ([("red", 0.69, 0.31, 1), ("scarlet", 0.6901, 0.3099, 1), ("blue", 0.15, 0.03, 1)], "red and scarlet"),
        ([("red", 0.69, 0.31, 0), ("green", 0.2, 0.7, 1), ("blue", 0.15, 0.03, 1)], "red: output 0"),
        ([("red", 0.69, 0.31, 1), ("green", 0.2, 0.7, -2), ("blue", 0.15, 0.03, 1)], "green: output -2"),
        ([("red", 0.69, 0.41, 1), ("green", 0.2, 0.7, 1), ("blue", 0.15, 0.03, 1)], "red: x 0.69"),
        ([("red", 0.69, 0.31, 1), ("green", 0.2, 0.7, 1), ("blue", 0.15, 0, 1)], "blue: x 0.15"),
        ([("red", 0.69, float("nan"), 1), ("green", 0.2, 0.7, 1), ("blue", 0.15, 0.1, 1)], "red"),
        ([("red", 0.6, 0.3, 1), ("pink", 0.4, 0.3, 1), ("blue", 0.2, 0.3, 1)], "red, pink, blue lie on one line"),
    ],
)
def test_sets_that_cannot_mix_are_refused_by_name(lamp, named):
    with pytest.raises(ValueError, match=named):
        emitters_faces.prepare(tuple(lamp))


@given(st.floats(0, 1), st.floats(0.001, 1), st.sampled_from(sorted(lamps.SETS)))
def test_any_ask_gets_drives_of_0_to_1(x, y, name):
    drives, light, miss = emitters.solve(emitters_faces.prepare(lamps.SETS[name]), x, y, white.xy(3200))
    assert all(0 <= d <= 1 for d in drives)
    assert max(drives) > 0.99
    assert light > 0 and miss >= 0


def test_an_impossible_ask_is_refused():
    with pytest.raises(ValueError, match="y must be above zero"):
        emitters.solve(emitters_faces.prepare(lamps.SETS["rgb"]), 0.3, 0.0)


def test_the_same_ask_gets_the_same_answer():
    for lamp in lamps.SETS.values():
        first, second = [emitters.solve(emitters_faces.prepare(lamp), 0.3, 0.4) for _ in range(2)]
        assert first == second
