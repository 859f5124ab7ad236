"""Trims from readings of simulated lamps with known curves, with and without meter noise, and from bad readings."""

import math
import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression

from firmware.light import colour, curves, trims, white

DRIVES = (0.05, 0.1, 0.2, 0.3, 0.45, 0.6, 0.75, 0.9, 1.0)


def test_nine_lux_readings_make_a_square_law_lamp_linear():
    readings = [(d, 1270 * d * d) for d in DRIVES]
    table = curves.table(trims.dimming(readings))
    for stops in range(7):
        wanted = 2**-stops
        made = (curves.apply(table, int(wanted * 65536)) / 65535) ** 2
        assert math.log2(made / wanted) == pytest.approx(0, abs=0.02)


@given(st.integers(2, 9), st.integers(0, 10**6), st.floats(0, 0.04))
def test_whatever_the_noise_the_curve_rises(count, seed, noise):
    dice = random.Random(seed)
    drives = sorted(dice.sample([n / 40 for n in range(1, 41)], count))
    readings = [(d, 900 * d**1.8 * (1 + dice.uniform(-noise, noise))) for d in drives]
    dice.shuffle(readings)
    points = trims.dimming(readings)
    assert points == sorted(points)
    assert all(b[1] > a[1] for a, b in zip(points, points[1:], strict=False))
    assert points[-1][1] == 1
    table = curves.table(points)
    assert list(table) == sorted(table)


def test_small_falls_are_pooled_as_isotonic_regression_does():
    lux = [10, 30, 29, 28.5, 60, 100, 97]
    drives = [0.1, 0.2, 0.3, 0.4, 0.5, 0.8, 1]
    fitted = isotonic_regression(lux).x
    points = trims.dimming(list(zip(drives, lux, strict=True)))
    assert [p[1] for p in points] == pytest.approx(np.unique(fitted) / fitted.max())


@pytest.mark.parametrize(
    ("readings", "named"),
    [
        ([(0.25, 100), (0.5, 900), (0.75, 400), (1, 800)], r"50 % \(900 lux\) is out"),
        ([(0.25, 100), (0.5, 20), (0.75, 400), (1, 800)], r"at 25 % \(100 lux\) or 50 % \(20 lux\)"),
        ([(0.2, 100), (0.4, 200), (0.6, 20), (1, 800)], r"60 % \(20 lux\) is out"),
        ([(0.5, 300), (1, 200)], "50 %.* or 100 %"),
        ([(0.5, -3), (1, 200)], "50 %: -3 lux"),
        ([(0.5, float("nan")), (1, 200)], "50 %: nan lux"),
        ([(0.5, 100), (1.2, 200)], "120 %"),
        ([(0.5, 100), (0.5, 120), (1, 200)], "two readings at 50 %"),
        ([(1, 100)], "1 readings"),
        ([(n / 10, n) for n in range(1, 11)], "10 readings"),
        ([(0, 0), (1, 100)], "two readings of different light"),
    ],
)
def test_bad_lux_readings_are_named(readings, named):
    with pytest.raises(ValueError, match=named):
        trims.dimming(readings)


def cool_lamp(setting):
    """K and Duv of an invented lamp: neither linear in kelvin nor on the locus."""
    return 2750 + 3900 * setting**1.3, 0.004 - 0.009 * setting * (1 - setting)


@pytest.mark.parametrize("turned", [False, True])
def test_a_white_map_tells_the_lamp_what_gives_the_white(turned):
    lamp = (lambda s: cool_lamp(1 - s)) if turned else cool_lamp
    mapped = trims.white_map([(s, *lamp(s)) for s in (0, 0.12, 0.25, 0.4, 0.55, 0.7, 0.85, 1)])
    for cct in range(2800, 6600, 200):
        setting, green, miss = trims.white_setting(mapped, cct, 0.002)
        got, duv = lamp(setting)
        assert miss == 0
        assert colour.delta_uv(*white.xy(got, duv + green), *white.xy(cct, 0.002)) < 0.001  # half of what shows


def test_a_white_out_of_the_lamps_reach_is_missed_by_what_is_said():
    mapped = trims.white_map([(s, *cool_lamp(s)) for s in (0, 0.5, 1)])
    setting, _, miss = trims.white_setting(mapped, 2000)
    assert setting == 0
    assert miss == pytest.approx(colour.delta_uv(*white.xy(2750), *white.xy(2000)), abs=1e-6)
    assert trims.white_setting(mapped, 9000)[0] == 1


@given(st.integers(2, 9), st.integers(0, 10**6))
def test_whatever_the_noise_the_white_map_is_monotone(count, seed):
    dice = random.Random(seed)
    settings = sorted(dice.sample([n / 20 for n in range(21)], count))
    readings = [(s, white.shift(cool_lamp(s)[0], dice.uniform(-2.5, 2.5)), dice.uniform(-0.01, 0.01)) for s in settings]
    mapped = trims.white_map(readings)
    assert mapped[0] == sorted(mapped[0])
    found = [trims.white_setting(mapped, cct)[0] for cct in range(2500, 7000, 50)]
    steps = np.diff(found)
    assert (steps >= -1e-9).all() or (steps <= 1e-9).all()


@pytest.mark.parametrize(
    ("readings", "named"),
    [
        ([(0, 2800, 0), (0.3, 5200, 0), (0.6, 4200, 0), (1, 6000, 0)], r"30 % \(5200 K\) or 60 % \(4200 K\)"),
        ([(0, 2800, 0), (0.2, 3100, 0), (0.4, 5900, 0), (0.6, 4200, 0), (1, 6000, 0)], "out of line"),
        ([(0, 0, 0), (1, 6000, 0)], "colour temperature 0"),
        ([(0, 3000, 0), (1, 3000, 0)], "two readings of different white"),
        ([(0, 3000, 0)], "1 readings"),
    ],
)
def test_bad_colour_readings_are_named(readings, named):
    with pytest.raises(ValueError, match=named):
        trims.white_map(readings)


@pytest.mark.parametrize(("dead", "settling"), [(0, 0.1), (0.02, 0.05), (0.1, 0.3)])
def test_lag_is_how_late_a_ramp_comes_out_of_a_first_order_lamp(dead, settling):
    """Textbook: a first-order system follows a ramp late by its time constant; a dead time adds to that."""
    t10, t90 = (dead - settling * math.log(1 - share) for share in (0.1, 0.9))
    assert trims.lag(t10, t90) == pytest.approx(dead + settling)


@pytest.mark.parametrize(("t10", "t90"), [(0.2, 0.1), (-0.1, 0.2), (0.1, 0.1), (0.1, float("nan"))])
def test_impossible_step_responses_are_refused(t10, t90):
    with pytest.raises(ValueError, match="must be later"):
        trims.lag(t10, t90)
