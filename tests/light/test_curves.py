"""Dimming curves: each map, run forward through the curve it is made for, gives the light that was wanted."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from firmware.light import curves
from tests.light import single

# The light a lamp gives at a drive, both 0..1: common practice; the logarithmic one spans 1000 : 1 as that of
# IEC 62386-102 (DALI) does.
LAMPS = {
    "linear": lambda d: d,
    "square": lambda d: d * d,
    "s": lambda d: (3 - 2 * d) * d * d,
    "log": lambda d: (1000**d - 1) / 999,
}
FULL = 65536


def struck(lamp, floor):
    """The same lamp, dark below a share of drive."""
    return lambda d: lamp(max(0.0, (d - floor) / (1 - floor)))


def worst_stops(table, lamp, darkest):
    """Largest error in stops from full down to `darkest` stops."""
    wanted = range(FULL >> -darkest, FULL + 1, 37)
    return max(abs(math.log2(lamp(curves.apply(table, w) / 65535) / (w / FULL))) for w in wanted)


@pytest.mark.parametrize("floor", [0, 0.08])
@pytest.mark.parametrize(("kind", "limit"), [("linear", 0.01), ("square", 0.01), ("log", 0.01), ("s", 0.025)])
def test_a_curve_is_within_its_stated_stops_down_to_minus_8(kind, limit, floor):
    assert worst_stops(curves.table(kind, floor), struck(LAMPS[kind], floor), -8) < limit


@pytest.mark.parametrize("floor", [0, 0.05])
@pytest.mark.parametrize("kind", sorted(LAMPS))
def test_nine_points_are_as_good_as_the_curve_to_minus_6(kind, floor):
    lamp = struck(LAMPS[kind], floor)
    drives = [floor + (1 - floor) * share for share in (0.04, 0.1, 0.2, 0.3, 0.45, 0.6, 0.75, 0.9, 1)]
    table = curves.from_points([(d, lamp(d)) for d in drives], floor)
    assert worst_stops(table, lamp, -6) < 0.04


@given(st.sampled_from(sorted(LAMPS)), st.floats(0, 0.9), st.integers(0, FULL), st.integers(0, FULL))
def test_more_light_never_asks_for_less_drive(kind, floor, one, two):
    table = curves.table(kind, floor)
    low, high = sorted((one, two))
    assert 0 <= curves.apply(table, low) <= curves.apply(table, high) <= 65535


@pytest.mark.parametrize("kind", sorted(LAMPS))
def test_off_is_off_full_is_full_and_the_dimmest_light_strikes(kind):
    table = curves.table(kind, 0.1)
    assert curves.apply(table, 0) == 0
    assert curves.apply(table, -5) == 0
    assert curves.apply(table, 1) >= 0.1 * 65535 - 1
    assert curves.apply(table, FULL) == 65535
    assert len(table) == 66


def test_no_product_of_the_integer_loop_passes_2_to_the_30():
    """Above that an int lives on the chip's heap."""
    assert 65535 * ((1 << 12) - 1) < 1 << 30
    table = curves.table("linear")
    assert all(abs(curves.apply(table, light) - light) <= 1 for light in range(FULL + 1))


@pytest.mark.parametrize("kind", sorted(LAMPS))
def test_maps_made_with_the_chips_floats_are_as_good(kind):
    module = single.load("curves")
    lamp = struck(LAMPS[kind], 0.05)
    assert worst_stops(module.table(kind, single.single(0.05)), lamp, -8) < 0.025
    points = single.single([(d, lamp(d)) for d in (0.08, 0.15, 0.25, 0.35, 0.5, 0.65, 0.8, 0.9, 1.0)])
    assert worst_stops(module.table(points, single.single(0.05)), lamp, -5) < 0.04


@given(st.lists(st.tuples(st.floats(0.01, 0.9), st.floats(0.001, 0.9)), min_size=2, max_size=9))
def test_any_rising_points_make_a_rising_map(points):
    points = [*sorted(points), (1.0, 1.0)]
    rising = [points[0]]
    for point in points[1:]:
        if point[0] > rising[-1][0] + 0.01 and point[1] > rising[-1][1] * 1.01:
            rising.append(point)
    if len(rising) < 2:
        return
    table = curves.table(rising)
    assert list(table) == sorted(table)
    for drive, light in rising:  # a knot is at most a quarter of the light away
        low, high = (curves.apply(table, min(FULL, int(light * FULL * by))) / 65535 for by in (0.75, 1.25))
        assert light < 1 / 256 or low - 1e-4 <= drive <= high + 1e-4


def test_the_cubic_is_the_one_that_scipy_has_inside():
    """SciPy's PCHIP is the same monotone cubic (Fritsch and Butland 1984); it differs at the two ends only."""
    xs, ys = [0, 1, 2.5, 3, 4.5, 6], [0, 0.2, 1.7, 1.8, 4, 4.1]
    bends = curves.slopes(xs, ys)
    judge = PchipInterpolator(xs, ys)
    for k in range(10, 45):
        assert curves.cubic(xs, ys, bends, k / 10) == pytest.approx(float(judge(k / 10)), abs=1e-9)


@pytest.mark.parametrize(
    ("points", "named"),
    [
        ([(0.2, 0.1), (0.5, 0.09), (1, 1)], "drive 0.5"),
        ([(0.5, 0.1), (0.5, 0.2), (1, 1)], "drive 0.5"),
        ([(1, 1)], "two points"),
        ([(0, 0), (1, 1)], "two points"),
    ],
)
def test_points_that_do_not_rise_are_named(points, named):
    with pytest.raises(ValueError, match=named):
        curves.from_points(points)


def test_strange_curves_and_floors_are_refused():
    with pytest.raises(ValueError, match="'cubic'.*linear, log, s, square"):
        curves.table("cubic")
    with pytest.raises(ValueError, match="0.95"):
        curves.table("s", 0.95)
