"""Level in stops: a stop is a factor of two in light (ISO 2720's scale), thirds and halves of it by the trade."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.light import level

LEVELS = st.floats(2**-11, 1)


def test_a_stop_down_is_half():
    assert level.share(-1) == 0.5
    assert level.stops(0.25) == pytest.approx(-2)
    with pytest.raises(ValueError, match="off"):
        level.stops(0)


@pytest.mark.parametrize(
    ("unit", "expected"),
    [("1", 0.5), ("1/2", 2**-0.5), ("1/3", 2 ** (-1 / 3)), ("1/10", 2**-0.1), ("%", 0.99)],
)
def test_one_detent_down_from_full(unit, expected):
    assert level.dial(1.0, -1, unit) == pytest.approx(expected)


def test_thirds_walk_down_a_whole_stop_and_back_exactly():
    at = 1.0
    for _ in range(3):
        at = level.dial(at, -1, "1/3")
    assert at == pytest.approx(0.5)
    for _ in range(3):
        at = level.dial(at, 1, "1/3")
    assert at == 1.0


def test_between_two_marks_the_first_detent_goes_to_the_mark():
    assert level.dial(0.4, 1, "1") == pytest.approx(0.5)
    assert level.dial(0.4, -1, "1") == pytest.approx(0.25)
    assert level.dial(0.423, 1, "%") == pytest.approx(0.43)
    assert level.dial(0.423, -2, "%") == pytest.approx(0.41)


def test_the_way_down_ends_in_off_and_comes_back():
    at = 1.0
    for _ in range(12 * 3):
        at = level.dial(at, -1, "1/3")
    assert at == pytest.approx(2**-12)
    assert level.dial(at, -1, "1/3") == 0
    assert level.dial(0, -1, "1/3") == 0
    assert level.dial(0, 1, "1/3") == pytest.approx(2**-12)
    assert level.dial(0, 3, "1/3") == pytest.approx(2 ** (-12 + 2 / 3))
    assert level.dial(0, 1, "%") == pytest.approx(0.01)
    assert level.dial(0.5, 200, "%") == level.dial(0.5, 99, "1") == 1


@given(LEVELS, st.integers(-20, 20), st.sampled_from(("1", "1/2", "1/3", "1/10", "%")))
def test_dialling_goes_the_way_of_the_turn_and_stays_in_range(at, detents, unit):
    new = level.dial(at, detents, unit)
    assert 0 <= new <= 1
    assert (new - at) * detents >= -0.002


def test_a_strange_unit_is_refused():
    with pytest.raises(ValueError, match="1/4"):
        level.dial(0.5, 1, "1/4")


@given(st.lists(LEVELS, min_size=1, max_size=8), st.floats(-12, 12))
def test_a_group_keeps_its_ratios_and_names_the_one_at_its_end(levels, by):
    new, hit = level.dial_stops(levels, by)
    moved = [math.log2(b / a) for a, b in zip(levels, new, strict=True)]
    assert max(moved) - min(moved) < 1e-6
    assert abs(moved[0]) <= abs(by) + 1e-5
    if hit is None:
        assert moved[0] == pytest.approx(by, abs=1e-6)
    else:
        end = max(new) if by > 0 else min(new)
        assert new[hit] == end
        assert end == pytest.approx(1 if by > 0 else 2**-12, rel=1e-5)


def test_a_group_stops_when_its_brightest_is_full_and_moves_on_down():
    new, hit = level.dial_stops([0.5, 0.125, 0], 2)
    assert (new, hit) == ([1, 0.25, 0], 0)
    assert level.dial_stops(new, 1 / 3) == ([1, 0.25, 0], 0)
    new, hit = level.dial_stops(new, -1)
    assert (new, hit) == ([0.5, 0.125, 0], None)


def test_a_dark_group_lights_at_the_bottom_and_stays_dark_on_the_way_down():
    assert level.dial_stops([0, 0], 1 / 3) == ([2**-12] * 2, None)
    assert level.dial_stops([0, 0], -1) == ([0, 0], None)


@pytest.mark.parametrize(
    ("stops", "said"), [(0, "0"), (-1 / 3, "-1/3"), (2 / 3, "+2/3"), (-4 / 3, "-1 1/3"), (2.02, "+2"), (0.1, "0")]
)
def test_stops_are_said_in_thirds(stops, said):
    assert level.words(stops) == said
