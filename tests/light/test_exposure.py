"""Exposure against ISO 2720's equation worked by hand, and the handbooks' rules of thumb (common practice)."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmware.light import exposure

GOOD = st.floats(0.01, 1e5)


def test_the_handbooks_hundred_footcandles():
    """Common practice: 100 fc at ISO 100 and 1/50 s is about f/2.8: within a third of a stop, with either
    receptor's constant (ISO 2720: N^2 / t = E S / C)."""
    for c in (exposure.C_FLAT, exposure.C_DOME):
        stop = exposure.aperture(exposure.lux(100), 100, 1 / 50, c)
        assert abs(2 * math.log2(stop / 2.8)) < 0.34


@pytest.mark.parametrize(
    ("lux", "iso", "seconds", "stop"),
    [
        (1000, 100, 1 / 40, 10**0.5),  # 1000 x 100 / 40 / 250 = 10
        (250, 100, 1, 10),  # 250 x 100 / 250 = 100
        (2500, 800, 1 / 50, 12.649),  # 2500 x 800 / 50 / 250 = 160
    ],
)
def test_iso_2720_worked(lux, iso, seconds, stop):
    assert exposure.aperture(lux, iso, seconds) == pytest.approx(stop, rel=1e-4)


def test_the_constants_are_inside_what_iso_2720_allows():
    assert 240 <= exposure.C_FLAT <= 400
    assert 320 <= exposure.C_DOME <= 540


@given(GOOD, st.floats(25, 25600), st.floats(1e-4, 10))
def test_the_equation_turns_every_way(lux, iso, seconds):
    stop = exposure.aperture(lux, iso, seconds)
    assert exposure.illuminance(stop, iso, seconds) == pytest.approx(lux)
    assert exposure.speed(lux, stop, seconds) == pytest.approx(iso)
    assert exposure.time(lux, stop, iso) == pytest.approx(seconds)


def test_a_footcandle_is_a_lumen_on_a_square_foot():
    assert exposure.lux(1) == pytest.approx(1 / 0.3048**2, rel=1e-5)
    assert exposure.footcandles(exposure.lux(37)) == pytest.approx(37)


def test_shutter_angles():
    # The trade's tables: 180 degrees at 24 frames is 1/48 s, 172.8 at 24 and 180 at 25 are 1/50 s.
    assert exposure.shutter(180, 24) == pytest.approx(1 / 48)
    assert exposure.shutter(172.8, 24) == exposure.shutter(180, 25) == pytest.approx(1 / 50)
    assert exposure.shutter_angle(1 / 50, 24) == pytest.approx(172.8)
    with pytest.raises(ValueError, match="longer than a frame"):
        exposure.shutter_angle(1 / 20, 24)
    with pytest.raises(ValueError, match="361"):
        exposure.shutter(361, 24)


def test_t_stops():
    # A lens that passes half its light is a stop slower than its f-number says.
    assert exposure.t_stop(2, 0.5) == pytest.approx(2.828, abs=1e-3)
    assert exposure.f_number(exposure.t_stop(2.8, 0.8), 0.8) == pytest.approx(2.8)
    with pytest.raises(ValueError, match="transmission 1.2"):
        exposure.t_stop(2, 1.2)


@pytest.mark.parametrize(
    ("stop", "name"),
    [(4, "4"), (2.8, "2.8"), (2**1.5, "2.8"), (3.17, "2.8 1/3"), (3.56, "2.8 2/3"), (22, "22"), (1, "1"), (5.6, "5.6"),
     (11.3, "11"), (45, "45"), (0.9, "1"), (500, "64 2/3")],
)  # fmt: skip
def test_stops_are_named_as_engraved(stop, name):
    """ISO 517's series of f-numbers is powers of the square root of two, rounded."""
    assert exposure.stop_name(stop) == name


def test_key_to_fill():
    assert exposure.ratio(800, 200) == pytest.approx((4, 2))  # 4 : 1 is two stops
    assert exposure.ratio(100, 100) == (1, 0)


def test_backing_off():
    # Inverse square: twice as far is two stops less; 1.9 m to 3 m is -1 1/3 stops, to a thirtieth.
    assert exposure.move(1, 2) == pytest.approx(-2)
    assert exposure.move(1.9, 3) == pytest.approx(-4 / 3, abs=0.03)
    assert exposure.distance(1.9, exposure.move(1.9, 3)) == pytest.approx(3)


def test_the_look_adds_up_at_the_mark():
    assert exposure.at_mark((1000, 400, 50), (0.5, 0.25, 1)) == 650


def test_set_the_key_to_t4_and_the_fill_two_stops_under():
    lux = exposure.illuminance(4, 800, 1 / 50)
    assert lux == pytest.approx(250)  # 16 x 250 / 16
    levels = exposure.levels(("key", "fill"), (1000, 300), (0, 2), lux)
    assert levels == pytest.approx([0.25, 250 / 4 / 300])
    assert exposure.aperture(1000 * levels[0], 800, 1 / 50) == pytest.approx(4)
    assert exposure.ratio(1000 * levels[0], 300 * levels[1])[1] == pytest.approx(2)


def test_a_lamp_that_cannot_do_it_is_named_with_what_it_lacks():
    with pytest.raises(ValueError, match="fill is 1.3 stops short"):
        exposure.levels(("key", "fill"), (1000, 100), (0, 0), 250)
    with pytest.raises(ValueError, match="fill gives no light"):
        exposure.levels(("key", "fill"), (1000, 0), (0, 0), 250)


@pytest.mark.parametrize(
    ("call", "args", "named"),
    [
        (exposure.aperture, (0, 100, 0.02), "light 0"),
        (exposure.aperture, (100, -100, 0.02), "ISO speed -100"),
        (exposure.aperture, (100, 100, 0), "exposure time 0"),
        (exposure.illuminance, (0, 100, 0.02), "aperture 0"),
        (exposure.speed, (100, 4, float("nan")), "exposure time nan"),
        (exposure.time, (0, 4, 100), "light 0"),
        (exposure.shutter, (180, 0), "frame rate 0"),
        (exposure.ratio, (100, 0), "fill 0"),
        (exposure.move, (0, 3), "distance 0"),
        (exposure.distance, (-1, 1), "distance -1"),
        (exposure.stop_name, (0,), "aperture 0"),
    ],
)
def test_impossible_exposures_are_refused_by_name(call, args, named):
    with pytest.raises(ValueError, match=named):
        call(*args)
