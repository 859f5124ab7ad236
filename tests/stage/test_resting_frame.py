"""The frame that will be on when all fades have ended, told while they run."""

import pytest

from firmware.show import rig_edit
from firmware.stage.stage import Stage
from tests.stage.conftest import KINDS

WARM = {"level": 0.3, "cct": 3000, "duv": 0.004, "hue": 20, "sat": 0.3}
DEEP = {"level": 0.9, "cct": 5600, "duv": -0.004, "hue": 230, "sat": 0.9}
TICK_MS = 23


def two_looks(stage):
    """Looks "A" and "B" of all lamps; "B" is on."""
    for name, light in (("A", WARM), ("B", DEEP)):
        for kind in KINDS[:-1]:
            stage.dial(kind, **light)
        stage.dial("raw4", slot2=int(light["level"] * 65535))
        stage.step(0)
        stage.store(name)


def resting(stage):
    """The resting frame, asked for until it is known, at the present moment of the stage."""
    out = bytearray(range(256)) * 2
    for _ in range(200):
        if stage.resting_frame(out):
            return bytes(out)
        stage.step(stage.time)
    raise AssertionError("the resting frame is never known")


def values(stage, frame, lamps=KINDS):
    """What a frame gives to lamps: whole 16-bit values, 8-bit ones as they are."""
    out = []
    for f in map(stage.show.rig.find, lamps):
        for c in f.personality.channels:
            value = frame[f.address - 1 + c[1]]
            out.append(value << 8 | frame[f.address - 1 + c[2]] if c[2] >= 0 else value)
    return out


def at(stage, start, end):
    """Step from start to end, a frame at a time."""
    for now in range(start, end, TICK_MS):
        stage.step(now)
    stage.step(end)


def test_a_stage_that_stands_rests_in_its_frame(stage):
    two_looks(stage)
    assert resting(stage) == bytes(stage.frame)


@pytest.mark.parametrize("seconds", [0.5, 4, 60])
def test_the_end_of_a_fade_is_told_while_it_runs(stage, seconds):
    """The expected frame is the one that the fade itself ends in."""
    two_looks(stage)
    stage.go("A", seconds)
    told = set()
    for share in (0, 0.01, 0.3, 0.9):
        at(stage, stage.time, int(seconds * 1000 * share))
        told.add(resting(stage))
    at(stage, int(seconds * 900), int(seconds * 1000))
    assert stage.left() == 0
    assert told == {bytes(stage.frame)}


def test_asking_does_not_disturb_a_fade(stage):
    """The same fade on two stages, one of which is asked at each step."""
    two_looks(stage)
    other = Stage(stage.show)
    for f in stage.show.rig.fixtures:
        other.set_fade(f, *stage.fade_of(f))
    stage.go("A", 2)
    other.go("A", 2)
    for now in range(0, 2100, TICK_MS):
        other.step(now)
        stage.step(now)
        stage.resting_frame(bytearray(512))
        assert stage.frame == other.frame, now


def test_master_and_blackout_count_and_all_at_full_does_not(stage):
    two_looks(stage)
    stage.go("A", 1)
    at(stage, 0, 300)
    stage.master = 0.4
    stage.full = True
    stage.step(320)
    told = resting(stage)
    stage.full = False
    stage.blackout = True
    stage.step(330)
    black = resting(stage)
    stage.blackout = False
    at(stage, 330, 1000)
    assert told == bytes(stage.frame)
    stage.blackout = True
    stage.step(1010)
    assert black == bytes(stage.frame)
    assert black != told


def test_a_lamp_exempt_from_the_master_rests_black_in_a_blackout(stage):
    two_looks(stage)
    rig_edit.trim(stage.show.rig, stage.show.rig.find("dim16"), free=1)
    stage.go("A", 1)
    at(stage, 0, 300)
    stage.blackout = True
    stage.step(310)
    assert values(stage, resting(stage), ["dim16"]) == [0]


def held_in_mid_fade(stage):
    two_looks(stage)
    stage.go("A", 1)
    at(stage, 0, 430)
    stage.pause(True)


def test_a_held_fade_rests_where_it_is(stage):
    held_in_mid_fade(stage)
    stage.step(700)
    assert values(stage, resting(stage)) == values(stage, stage.frame)
    stage.pause(False)
    assert resting(stage) != bytes(stage.frame)


def test_all_at_full_does_not_count_in_a_held_fade(stage):
    held_in_mid_fade(stage)
    stage.step(500)
    was = resting(stage)
    stage.full = True
    stage.step(510)
    assert resting(stage) == was
    assert stage.full


def test_a_crossfade_by_hand_rests_where_it_is_and_other_fades_at_their_end(stage):
    two_looks(stage)
    stage.store("only", [stage.show.rig.find("rgb16")])
    stage.go("A", 0)
    at(stage, 0, 46)
    stage.go("B", 5)
    at(stage, 46, 1000)
    stage.crossfade("only")  # the RGB lamp goes by hand, the others go on
    stage.crossfade_at(0.5)
    stage.step(1050)
    told = resting(stage)
    assert values(stage, told, ["rgb16"]) == values(stage, stage.frame, ["rgb16"])
    at(stage, 1050, 5100)
    assert stage.left() == 0
    others = [kind for kind in KINDS if kind != "rgb16"]
    assert values(stage, told, others) == pytest.approx(values(stage, stage.frame, others), abs=1)  # a hue that wraps


def test_slots_of_nobody_rest_at_their_end(stage):
    two_looks(stage)
    stage.move_raw([[500, 7, 200]], 0)
    stage.step(10)
    stage.move_raw([[500, 90]], 1000)
    at(stage, 10, 400)
    assert resting(stage)[499:501] == bytes((90, 0))
    stage.pause(True)
    stage.step(410)
    assert resting(stage)[499:501] == stage.frame[499:501]


def test_a_rig_changed_in_mid_fade(stage):
    two_looks(stage)
    stage.go("A", 2)
    at(stage, 0, 700)
    rig_edit.move(stage.show.rig, stage.show.rig.find("rgbw16"), 400)
    stage.show.rig.add("dim", "New")
    told = resting(stage)
    at(stage, 710, 2100)
    assert told == bytes(stage.frame)
