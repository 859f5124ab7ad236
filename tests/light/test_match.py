"""Two lamps match: simulated lamps that are off by mired and Duv, and ones that cannot reach."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.light import colour, match, white

RANGE = (2700, 7500)
GREENS = (-0.02, 0.02)


def lamp(cct, duv, off_mired, off_duv):
    """What a lamp gives that is set to a white: off by constants, as a real one is near any one setting."""
    return white.shift(cct, off_mired), duv + off_duv


@given(st.floats(3200, 6000), st.floats(-0.008, 0.008), st.floats(-15, 15), st.floats(-0.006, 0.006))
def test_b_gives_as_white(cct, duv, off_mired, off_duv):
    setting = (4300, 0.0)
    measured = lamp(*setting, off_mired, off_duv)
    new_cct, new_duv, left = match.match((cct, duv), measured, setting, RANGE, GREENS)
    assert left == pytest.approx(0, abs=1e-5)
    assert colour.delta_uv(*white.xy(*lamp(new_cct, new_duv, off_mired, off_duv)), *white.xy(cct, duv)) < 1e-5


def test_without_green_the_difference_left_is_the_duv():
    cct, duv, left = match.match((5600, 0.006), (5600, 0.0), (5600, 0.0), RANGE)
    assert (round(cct), duv) == (5600, 0)
    assert left == pytest.approx(colour.delta_uv(*white.xy(5600, 0.006), *white.xy(5600)))
    assert 0.006 < left < 0.012  # v' = 1.5 v: a Duv is up to half again as much in u'v'


def test_a_white_out_of_reach_is_met_half_way_and_the_rest_is_told():
    cct, _, left = match.match((2000, 0), (3000, 0), (3000, 0), RANGE, GREENS)
    assert cct == pytest.approx(2700)
    assert left == pytest.approx(colour.delta_uv(*white.xy(2700), *white.xy(2000)))


def test_a_zero_kelvin_is_refused():
    with pytest.raises(ValueError, match="0 K"):
        match.match((0, 0), (3000, 0), (3000, 0), RANGE)
