"""Hue and saturation against Oklab as colour-science has it, screen colours against IEC 61966-2-1, gels, u'v'."""

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from firmware.light import chromaticity, colour, filters, white
from firmware.ui.pages.light import light_dialling
from sim import Bench
from tests.light import single

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour as science

D65 = (0.3127, 0.3290)
D65_CCT, D65_DUV = chromaticity.cct_duv(*D65)
CMFS = science.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]


def oklab(x, y):
    """colour-science's Oklab of a chromaticity: (hue in degrees, chroma / lightness)."""
    lightness, a, b = science.XYZ_to_Oklab(science.xyY_to_XYZ((x, y, 1.0)))
    return np.degrees(np.arctan2(b, a)) % 360, np.hypot(a, b) / lightness


def rgb_xy(r, g, b):
    """colour-science's chromaticity (IEC 61966-2-1) of a screen colour, and the level of its brightest channel. Black
    is white at level 0."""
    level = science.eotf(max(r, g, b) / 255, "sRGB")
    rgb = (r, g, b) if level else (255, 255, 255)
    return (*science.XYZ_to_xy(science.sRGB_to_XYZ(np.array(rgb) / 255)), float(level))


def apart(a, b):
    return abs((a - b + 180) % 360 - 180)


@pytest.mark.parametrize("hue", range(0, 360, 15))
def test_over_d65_hue_is_oklabs_and_stays_as_it_pales(hue):
    red = oklab(*rgb_xy(255, 0, 0)[:2])[0]
    for sat in (0.1, 0.3, 0.6, 1):
        got, _ = oklab(*colour.over_white(hue, sat, D65_CCT, D65_DUV))
        assert apart(got - red, hue) < 0.5 + 0.03 / sat  # our D65 and Oklab's differ in the fourth digit


@pytest.mark.parametrize("hue", range(0, 360, 30))
def test_equal_steps_of_saturation_are_equal_steps_of_oklab(hue):
    chroma = [oklab(*colour.over_white(hue, sat / 5, D65_CCT, D65_DUV))[1] for sat in range(6)]
    steps = np.diff(chroma)
    assert steps == pytest.approx([steps.mean()] * 5, rel=0.02)


def test_ipt_agrees_that_hue_hardly_drifts():
    """A second opinion, IPT (Ebner and Fairchild 1998): along our lines its hue moves far less than along the
    straight lines of xy, where blue turns to violet as it pales."""

    def spread(points):
        ipt = [science.XYZ_to_IPT(science.xyY_to_XYZ((*p, 0.5))) for p in points]
        hues = [np.degrees(np.arctan2(i[2], i[1])) for i in ipt]
        return max(apart(h, hues[0]) for h in hues)

    pure = colour.over_white(235, 0.7, D65_CCT, D65_DUV)
    shares = (0.25, 0.5, 0.75, 1)
    ours = spread([colour.over_white(235, 0.7 * s, D65_CCT, D65_DUV) for s in shares])
    straight = spread([tuple(w + (p - w) * s for w, p in zip(D65, pure, strict=True)) for s in shares])
    assert ours < 8 < straight


@pytest.mark.parametrize(
    ("rgb", "hue"),
    [((255, 0, 0), 0), ((255, 255, 0), 81), ((0, 255, 0), 113), ((0, 255, 255), 166), ((0, 0, 255), 235),
     ((255, 0, 255), 299)],
)  # fmt: skip
def test_a_screens_colours_have_the_hues_that_are_promised(rgb, hue):
    x, y, _ = rgb_xy(*rgb)
    assert apart(chromaticity.hue_sat(x, y, D65_CCT, D65_DUV)[0], hue) < 1


@pytest.mark.parametrize("cct", [2000, 2700, 3200, 4300, 5600, 6500, 10000])
def test_full_saturation_is_a_real_light_and_nearly_the_purest(cct):
    """Against the hull of the spectral locus 400..700 nm (CIE 1931): inside, or within 0.003 xy of it, and a fifth
    more saturation would be outside for nearly every hue."""
    xyz = CMFS.values[(CMFS.wavelengths >= 400) & (CMFS.wavelengths <= 700)]
    sides = ConvexHull(xyz[:, :2] / xyz.sum(1)[:, None]).equations
    beyond = 0
    for hue in range(0, 360, 5):
        assert outside(sides, colour.over_white(hue, 1, cct)) < 0.003, hue
        beyond += outside(sides, colour.over_white(hue, 1.2, cct)) > 0
    assert beyond >= 60  # of 72: the table is lowered where it would bulge out between its entries


def outside(sides, point):
    return max(sides @ (*point, 1))


@pytest.mark.parametrize("cct", [1500, 1800, 2000, 2200, 2500, 2800])
def test_the_greenest_white_is_a_real_light_and_nearly_the_greenest(cct):
    """Against the hull of the spectral locus (CIE 1931): inside, and not with 0.001 more."""
    xyz = CMFS.values[(CMFS.wavelengths >= 400) & (CMFS.wavelengths <= 700)]
    sides = ConvexHull(xyz[:, :2] / xyz.sum(1)[:, None]).equations
    most = light_dialling.greenest(cct)
    assert outside(sides, white.xy(cct, most)) <= 0 < outside(sides, white.xy(cct, most + 0.001))


@given(st.floats(0, 359.9), st.floats(0.02, 1), st.floats(2000, 12000), st.floats(-0.01, 0.01))
def test_hue_and_saturation_go_there_and_back(hue, sat, cct, duv):
    got, got_sat = chromaticity.hue_sat(*colour.over_white(hue, sat, cct, duv), cct, duv)
    assert apart(got, hue) < 0.01 / sat
    assert got_sat == pytest.approx(sat, abs=1e-4)


@given(st.floats(0, 359.9), st.floats(0.05, 1), st.floats(2000, 12000))
def test_they_do_so_in_single_precision(hue, sat, cct):
    module, back = single.load("colour"), single.load("chromaticity")
    hue, sat, cct = single.single((hue, sat, cct))
    x, y = module.over_white(hue, sat, cct)
    assert (x, y) == pytest.approx(colour.over_white(float(hue), float(sat), float(cct)), abs=5e-6)
    got, got_sat = back.hue_sat(x, y, cct)
    assert apart(got, hue) < 0.05 / sat
    assert got_sat == pytest.approx(sat, abs=2e-3)


@given(st.floats(0, 360), st.floats(0, 1), st.floats(1000, 25000), st.floats(-0.03, 0.03))
def test_any_colour_over_any_white_is_a_chromaticity(hue, sat, cct, duv):
    x, y = colour.over_white(hue, sat, cct, duv)
    assert -0.2 < x < 0.9
    assert 0 < y < 1


def test_white_has_no_hue():
    assert chromaticity.hue_sat(*white.xy(4300, 0.005), 4300, 0.005) == (0, 0)
    assert colour.over_white(123, 0, 4300, 0.005) == white.xy(4300, 0.005)


@given(st.integers(0, 255), st.integers(0, 255), st.integers(0, 255))
def test_screen_colours_go_there_and_back(r, g, b):
    x, y, level = rgb_xy(r, g, b)
    expected = (r, g, b)
    # Chromaticity and the brightest channel say it all; below 1/255 of it the 8-bit code may be one off.
    assert colour.srgb(x, y, level) == pytest.approx(expected, abs=1)


def test_a_swatch_of_tungsten_is_orange_and_of_shade_blue():
    r, g, b = colour.srgb(*white.xy(3200))
    assert r == 255 and r > g > b
    r, g, b = colour.srgb(*white.xy(10000))
    assert b == 255 and b > g > r


def test_a_gel_before_its_own_white_is_as_printed():
    for x, y in ((0.2, 0.15), (0.08, 0.5), (0.7, 0.29)):  # the last two are purer than BT.2020's primaries
        assert filters.gel(x, y, 0.12, D65, D65) == pytest.approx((x, y, 0.12), abs=1e-6)


@pytest.mark.parametrize("transmission", [0, -0.1, 1.01])
def test_an_impossible_gel_is_refused(transmission):
    with pytest.raises(ValueError, match=str(transmission)):
        filters.gel(0.3, 0.3, transmission, D65, D65)


@pytest.mark.parametrize(("centre", "width"), [(450, 40), (530, 40), (600, 60)])
def test_a_gel_before_another_white_is_near_its_spectrum(centre, width):
    """A smooth invented filter, by its spectrum (CIE 1931, Planck) before 3200 K, guessed for 6500 K: the guess
    halves the error of taking the chromaticity as printed, and is within 15 % of the light."""
    wave = CMFS.wavelengths
    filtered = 0.04 + 0.9 * np.exp(-(((wave - centre) / width) ** 2))

    def seen(cct, through):
        xyz = (wave**-5.0 / np.expm1(1.4388e7 / (wave * cct)) * through) @ CMFS.values
        return tuple(xyz[:2] / xyz.sum()), xyz[1]

    (printed, light), (warm, warm_light) = seen(3200, filtered), seen(3200, 1)
    (truth, true_light), (cool, cool_light) = seen(6500, filtered), seen(6500, 1)
    x, y, share = filters.gel(*printed, light / warm_light, warm, cool)
    assert colour.delta_uv(x, y, *truth) < 0.5 * colour.delta_uv(*printed, *truth)
    assert share == pytest.approx(true_light / cool_light, rel=0.15)


@given(*[st.floats(0.05, 0.6)] * 4)
def test_delta_uv_is_the_distance_in_cie_1976(x1, y1, x2, y2):
    one, two = science.xy_to_Luv_uv((x1, y1)), science.xy_to_Luv_uv((x2, y2))
    assert colour.delta_uv(x1, y1, x2, y2) == pytest.approx(np.hypot(*(one - two)), abs=1e-9)


@given(st.floats(0, 359.99), st.floats(0, 1), st.floats(1000, 20000), st.floats(-0.05, 0.05))
def test_whatever_can_be_asked_stays_near_real_light(hue, sat, cct, duv):
    """X, Y and Z of any light are not below zero (CIE 015): x and y lie in the triangle of 0, 1, give or take a
    third for asks past the spectral locus and whites far off the locus; y above it, as it divides."""
    x, y = colour.over_white(hue, sat, cct, duv)
    assert 0.001 < y < 1.33 and -0.33 < x < 1.33 and x + y < 1.33


def test_the_page_dials_no_white_that_does_not_exist():
    """A lamp with hue and saturation at 2200 K: its green ends where light does, near Duv +0.0137, not at +0.02 or
    beyond; and with that much green its white grows no warmer. What was set beyond before may come nearer."""
    with Bench(show=None) as b:
        lamp = b.app.show.rig.add("rgbww", "Mix")
        stage, settings = b.app.stage, b.app.settings
        stage.dial(lamp, level=1, cct=2200)
        assert "as far as Mix goes" not in light_dialling.turn(stage, settings, [lamp], "duv", 50)
        assert stage.value(lamp, "duv") == pytest.approx(0.0137, abs=3e-4)
        assert "as far as Mix goes" in light_dialling.turn(stage, settings, [lamp], "duv", 1)
        light_dialling.turn(stage, settings, [lamp], "cct", -10)
        assert stage.value(lamp, "cct") == pytest.approx(2200, abs=2)
        stage.dial(lamp, cct=2200, duv=0.018)
        light_dialling.turn(stage, settings, [lamp], "duv", 3)
        assert stage.value(lamp, "duv") == pytest.approx(0.018)
        light_dialling.turn(stage, settings, [lamp], "duv", -1)
        assert stage.value(lamp, "duv") == pytest.approx(0.017)
