"""Level in stops: a stop is a factor of two in light (ISO 2720's scale), thirds and halves of it by the trade."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.light import level

FULL = level.FULL

LEVELS = st.floats(2**-11, 1)


def test_a_stop_down_is_half():
    assert level.share(-1) == 0.5
    assert level.stops(0.25) == pytest.approx(-2)
    with pytest.raises(ValueError, match="off"):
        level.stops(0)


def units(share):
    """A share of light as the stage keeps it."""
    return int(share * FULL + 0.5)


@pytest.mark.parametrize(
    ("unit", "expected"),
    [("1", 0.5), ("1/2", 2**-0.5), ("1/3", 2 ** (-1 / 3)), ("1/10", 2**-0.1), ("%", 0.99)],
)
def test_one_detent_down_from_full(unit, expected):
    assert level.dial(FULL, -1, unit) == units(expected)


def test_thirds_walk_down_a_whole_stop_and_back_exactly():
    at = FULL
    for _ in range(3):
        at = level.dial(at, -1, "1/3")
    assert at == FULL // 2
    for _ in range(3):
        at = level.dial(at, 1, "1/3")
    assert at == FULL


@pytest.mark.parametrize(("unit", "marks"), [("1", 12), ("1/2", 24), ("1/3", 36), ("1/10", 120), ("%", 99)])
def test_every_mark_is_met_on_the_way_down_and_up(unit, marks):
    """A mark that was rounded to a whole number is still that mark."""
    down = [FULL]
    for _ in range(marks):
        down.append(level.dial(down[-1], -1, unit))
    up = [down[-1]]
    for _ in range(marks):
        up.append(level.dial(up[-1], 1, unit))
    assert up[::-1] == down and len(set(down)) == marks + 1
    assert down[-1] == units(0.01 if unit == "%" else 2**-12)


def test_between_two_marks_the_first_detent_goes_to_the_mark():
    assert level.dial(units(0.4), 1, "1") == units(0.5)
    assert level.dial(units(0.4), -1, "1") == units(0.25)
    assert level.dial(units(0.423), 1, "%") == units(0.43)
    assert level.dial(units(0.423), -2, "%") == units(0.41)


def test_the_way_down_ends_in_off_and_comes_back():
    at = FULL
    for _ in range(12 * 3):
        at = level.dial(at, -1, "1/3")
    assert at == units(2**-12)
    assert level.dial(at, -1, "1/3") == 0
    assert level.dial(0, -1, "1/3") == 0
    assert level.dial(0, 1, "1/3") == units(2**-12)
    assert level.dial(0, 3, "1/3") == units(2 ** (-12 + 2 / 3))
    assert level.dial(0, 1, "%") == units(0.01)
    assert level.dial(FULL // 2, 200, "%") == level.dial(FULL // 2, 99, "1") == FULL


@given(LEVELS, st.integers(-20, 20), st.sampled_from(("1", "1/2", "1/3", "1/10", "%")))
def test_dialling_goes_the_way_of_the_turn_and_stays_in_range(at, detents, unit):
    new = level.dial(units(at), detents, unit)
    assert 0 <= new <= FULL
    assert (new - units(at)) * detents >= 0


def test_a_strange_unit_is_refused():
    with pytest.raises(ValueError, match="1/4"):
        level.dial(FULL // 2, 1, "1/4")


@given(st.lists(LEVELS, min_size=1, max_size=8), st.floats(-12, 12))
def test_a_group_keeps_its_ratios_and_names_the_one_at_its_end(shares, by):
    levels = [units(share) for share in shares]
    new, hit = level.dial_stops(levels, by)
    if hit is not None:
        end = max(levels) if by > 0 else min(levels)
        assert levels[hit] == end
        assert new[hit] == (FULL if by > 0 else units(2**-12))
        assert abs(math.log2(new[hit] / end)) <= abs(by) + 1e-5
        by = math.log2((FULL if by > 0 else FULL / 4096) / end)
    assert all(abs(b - a * 2**by) <= 0.5 + 1e-6 for a, b in zip(levels, new, strict=True))


def test_a_group_stops_when_its_brightest_is_full_and_moves_on_down():
    new, hit = level.dial_stops([FULL // 2, FULL // 8, 0], 2)
    assert (new, hit) == ([FULL, FULL // 4, 0], 0)
    assert level.dial_stops(new, 1 / 3) == ([FULL, FULL // 4, 0], 0)
    new, hit = level.dial_stops(new, -1)
    assert (new, hit) == ([FULL // 2, FULL // 8, 0], None)


def test_a_dark_group_lights_at_the_bottom_and_stays_dark_on_the_way_down():
    assert level.dial_stops([0, 0], 1 / 3) == ([units(2**-12)] * 2, None)
    assert level.dial_stops([0, 0], -1) == ([0, 0], None)


@pytest.mark.parametrize(
    ("stops", "said"), [(0, "0"), (-1 / 3, "-1/3"), (2 / 3, "+2/3"), (-4 / 3, "-1 1/3"), (2.02, "+2"), (0.1, "0")]
)
def test_stops_are_said_in_thirds(stops, said):
    assert level.words(stops) == said
