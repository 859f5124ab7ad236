"""Trims on the stage: a lamp's measured curve, strike and white come out right on the line."""

import math

import pytest

from firmware.light import curves
from firmware.show import rig_edit
from tests.stage.conftest import slots


def trim(stage, name, **trims):
    rig_edit.trim(stage.show.rig, stage.show.rig.find(name), **trims)


def test_a_square_law_lamp_gives_the_light_that_was_asked(stage):
    """Light = drive squared (square-law dimming, common practice): half the light wants 0.707 of the drive."""
    trim(stage, "dim16", curve="square")
    for level in (1, 0.5, 0.25, 0.1, 0.01):
        stage.dial("dim16", level=level)
        stage.step(1)
        assert slots(stage, "dim16")[0] / 65535 == pytest.approx(math.sqrt(level), rel=0.01)


def test_measured_points_are_followed(stage):
    """At a measured point the drive is the measured one."""
    points = [(0.1, 0.02), (0.5, 0.3), (1, 1)]
    trim(stage, "dim16", curve=[[round(d * 65535), round(y * 65535)] for d, y in points])
    for drive, light in points:
        stage.dial("dim16", level=light)
        stage.step(1)
        assert slots(stage, "dim16")[0] / 65535 == pytest.approx(drive, rel=0.01)
    assert curves.from_points(points)[-1] == 65535


def test_the_strike_is_never_undercut_but_out_is_out(stage):
    trim(stage, "dim16", strike=6554)
    stage.dial("dim16", level=0.0005)
    stage.step(1)
    assert slots(stage, "dim16")[0] >= 6553
    stage.dial("dim16", level=0)
    stage.step(2)
    assert slots(stage, "dim16")[0] == 0


def test_a_measured_white_is_set_as_measured(stage):
    """Readings of a lamp that is 300 K too warm: asked for what it gave, it is set to what gave it."""
    readings = [(0, 2700, 0), (0.25, 3400, 0.004), (0.5, 4200, 0.006), (0.75, 5100, 0.004), (1, 6200, -0.002)]
    trim(stage, "tint16", white=[[round(s * 65535), k, round(d * 100000)] for s, k, d in readings])
    for setting, kelvin, own in readings:
        stage.dial("tint16", level=1, cct=kelvin, duv=0)
        stage.step(1)
        _level, cct, duv = slots(stage, "tint16")
        assert cct == round(setting * 65535)
        # The lamp's own green is taken back by its green slot (-0.02 .. +0.02).
        assert duv / 65535 * 0.04 - 0.02 == pytest.approx(-own, abs=0.0003)


def test_a_fade_of_a_measured_white_ends_exactly(stage):
    trim(stage, "white16", white=[[0, 2600, 0], [30000, 4000, 200], [65535, 6800, 0]])
    lamp = [stage.show.rig.find("white16")]
    stage.dial("white16", level=1, cct=6000)
    stage.step(0)
    cool = slots(stage, "white16")
    stage.store("Cool", lamp)
    stage.dial("white16", cct=3000)
    stage.step(0)
    warm = slots(stage, "white16")
    stage.go("Cool", 2)
    seen = []
    for now in range(0, 2001, 50):
        stage.step(now)
        seen.append(slots(stage, "white16")[1])
    assert seen[0] == warm[1]
    assert seen == sorted(seen)
    assert seen[-1] == cool[1]


@pytest.mark.parametrize(("trims", "words"), [
    ({"curve": "wavy"}, "wavy"),
    ({"curve": [[100, 65535], [65535, 100]]}, "must both rise"),
    ({"white": [[0, 3000, 0], [65535, -5, 0]]}, "-5"),
    ({"white": [[0, 3000, 0]]}, "1 readings"),
    ({"white": 7}, "trim left out"),
])
def test_a_bad_trim_is_named_and_left_out(stage, trims, words):
    trim(stage, "tint16", **trims)
    stage.dial("tint16", level=0.5, cct=4600)
    stage.step(1)
    assert slots(stage, "tint16")[0] == 32768
    assert len(stage.faults) == 1
    assert stage.faults[0].startswith("tint16: trim left out")
    assert words in stage.faults[0]
