"""White light against colour-science (Planckian locus, Ohno 2013), CIE tables and mired."""

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.light import chromaticity, filters, white
from tests.light import single

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour

# CIE 015:2018, 2 degree observer.
A, D50, D55, D65 = (0.44758, 0.40745), (0.34567, 0.35851), (0.33243, 0.34744), (0.31272, 0.32903)


def planckian(cct, duv):
    """colour-science's own white: Ohno 2013 over its Planckian table."""
    return colour.UCS_uv_to_xy(colour.temperature.CCT_to_uv_Ohno2013([cct, duv]))


@pytest.mark.parametrize("duv", [-0.03, 0, 0.03])
def test_xy_lies_where_colour_science_puts_it(duv):
    for cct in np.geomspace(1800, 12000, 40):
        assert np.abs(planckian(cct, duv) - white.xy(cct, duv)).max() < 1e-4, (cct, duv)


@pytest.mark.parametrize("duv", [-0.03, 0, 0.03])
def test_cct_and_duv_are_those_of_ohno_2013(duv):
    for cct in np.geomspace(1800, 12000, 20):
        x, y = planckian(cct, duv)
        got, off = chromaticity.cct_duv(x, y)
        ohno = colour.temperature.uv_to_CCT_Ohno2013(colour.xy_to_UCS_uv((x, y)))
        assert got == pytest.approx(ohno[0], rel=0.003)
        assert off == pytest.approx(ohno[1], abs=1e-4)


@pytest.mark.parametrize("duv", [-0.03, 0, 0.03])
def test_single_precision_is_enough(duv):
    module, back = single.load("white"), single.load("chromaticity")
    for cct in np.geomspace(1800, 12000, 30):
        x, y = planckian(cct, duv)
        assert single.single((x, y)) == pytest.approx(module.xy(np.float32(cct), np.float32(duv)), abs=1e-4)
        got, off = back.cct_duv(np.float32(x), np.float32(y))
        assert got == pytest.approx(cct, rel=0.002)
        assert off == pytest.approx(duv, abs=1e-4)


@pytest.mark.parametrize(("cct", "xy"), [(2856, A), (5003, D50), (5503, D55), (6504, D65)])
def test_the_cie_illuminants_have_their_colour_temperature(cct, xy):
    assert chromaticity.cct_duv(*xy)[0] == pytest.approx(cct, rel=0.001)


def test_illuminant_a_is_on_the_locus_and_d65_is_not():
    assert chromaticity.cct_duv(*A)[1] == pytest.approx(0, abs=2e-5)
    assert chromaticity.cct_duv(*D65)[1] == pytest.approx(0.0032, abs=1e-4)  # a well-known figure; from memory


@given(st.floats(1000, 25000), st.floats(-0.03, 0.03))
def test_white_goes_there_and_back(cct, duv):
    got, off = chromaticity.cct_duv(*white.xy(cct, duv))
    assert got == pytest.approx(cct, rel=0.002)
    assert off == pytest.approx(duv, abs=1e-5)


LOCUS = colour.xy_to_UCS_uv([white.xy(1e6 / mired) for mired in np.linspace(40, 1000, 8000)])


@given(st.floats(0, 0.75), st.floats(0.001, 0.85))
def test_duv_is_the_distance_to_the_nearest_white_however_far(x, y):
    cct, duv = chromaticity.cct_duv(x, y)
    away = np.hypot(*(LOCUS - colour.xy_to_UCS_uv((x, y))).T)
    assert 999 < cct < 25001
    assert abs(duv) == pytest.approx(away.min(), rel=0.03, abs=2e-4)


def test_mired_arithmetic():
    # 3200 K -> 5600 K is 312.5 - 178.6 = -134 mired; 5600 -> 3200 the same the other way.
    assert round(white.mired(5600) - white.mired(3200)) == -134
    assert white.shift(3200, -134) == pytest.approx(1e6 / 178.5)
    assert white.kelvin(white.mired(4321)) == pytest.approx(4321)
    assert white.between(2000, 6000, 0.5) == pytest.approx(3000)  # 500 and 166.7 mired: half way is 333.3


def test_full_blue_turns_tungsten_into_daylight_and_full_orange_more_than_back():
    # Common practice: full CTB takes 3200 K to about 5600 K, full CTO 6500 K to about 3200 K.
    assert white.shift(3200, dict(filters.CTB)["full"]) == pytest.approx(5600, rel=0.01)
    assert white.shift(6500, dict(filters.CTO)["full"]) == pytest.approx(3200, rel=0.02)
    for table in (filters.CTO, filters.CTB):
        assert [abs(m) for _, m in table] == sorted(abs(m) for _, m in table)


def test_green_fractions_go_both_ways():
    for name, duv in white.GREENS:
        assert white.green_fraction(duv) == "+" + name
        assert white.green_fraction(-duv) == "-" + name
        assert filters.green_duv("-" + name) == -duv
    assert white.green_fraction(0.001) == "0"
    assert filters.green_duv("0") == 0


def test_green_fractions_are_those_of_a_filter_of_that_density():
    """A smooth dye of peak density 0.30 at 545 nm (a model, not a product) is "full", 0.15 "1/2", and so on:
    before 3200 K and 5600 K alike to within the third that filters scatter by."""
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy()
    cmfs.align(colour.SpectralShape(380, 780, 1))
    wave = cmfs.wavelengths
    band = np.exp(-(((wave - 545) / 45) ** 2))
    found = {}
    for cct in (3200, 5600):
        light = wave**-5.0 / np.expm1(1.4388e7 / (wave * cct))
        for name, density in (("1/8", 0.0375), ("1/4", 0.075), ("1/2", 0.15), ("full", 0.30)):
            xyz = (light * 10 ** (-density * band)) @ cmfs.values
            found.setdefault(name, []).append(-chromaticity.cct_duv(*(xyz[:2] / xyz.sum()))[1])
    for name, duv in white.GREENS:
        assert min(found[name]) * 0.95 < duv < max(found[name]) * 1.05, (name, found)


@pytest.mark.parametrize("cct", [0, -1, 999, 25001, float("nan")])
def test_impossible_colour_temperatures_are_refused_by_name(cct):
    with pytest.raises(ValueError, match=str(cct)):
        white.xy(cct)


@pytest.mark.parametrize("call", [white.mired, white.kelvin])
def test_zero_kelvin_is_refused(call):
    with pytest.raises(ValueError, match="0"):
        call(0)
    with pytest.raises(ValueError, match="-5"):
        call(-5)


def test_a_shift_past_infinite_kelvin_is_refused():
    with pytest.raises(ValueError, match="must be above zero"):
        white.shift(10000, -100)


def test_a_strange_green_name_is_refused():
    with pytest.raises(ValueError, match=r"\+1/3"):
        filters.green_duv("+1/3")


def test_three_quarters_of_orange():
    """It takes daylight of 5,500 K to tungsten's 3,200 K: common practice, no standard."""
    assert white.shift(5500, dict(filters.CTO)["3/4"]) == pytest.approx(3200, rel=0.005)
