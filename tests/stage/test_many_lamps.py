"""A rig of 64 lamps: levels move at once, colours are worked out a little in each step, a cut lands in one frame."""

import random

import pytest

from firmware.show import rig_edit
from firmware.show.fixture_light import LEVEL
from firmware.stage import fade
from firmware.stage import patch_fields as fields
from firmware.stage.running_order_player import OrderPlayer
from firmware.stage.stage import Stage
from tests.bench.fade import many
from tests.stage.conftest import empty_show

KINDS = ("dim", "dim16", "white", "white16", "tint", "tint16", "full", "full16", "rgb", "rgbw", "rgbww", "rgbw16",
         "raw4")
STEP_MS = 10
COLOUR = ("cct", "duv", "hue", "sat")


def lights(stage, level, cct, hue, sat, apart=137):
    """A light for each lamp, all different in hue where `apart` is not 0."""
    return {f.uid: [int(level * 65536), cct, 100, (hue * 100 + apart * k) % 36000, int(sat * 10000), 10000, {}]
            for k, f in enumerate(stage.show.rig.fixtures)}


WARM = {"level": 0.9, "cct": 3000, "hue": 20, "sat": 0.3}
DEEP = {"level": 0.2, "cct": 5600, "hue": 200, "sat": 0.9}


@pytest.fixture
def stage():
    """64 mixed lamps, all in the light WARM."""
    show = empty_show()
    for n in range(64):
        show.rig.add(KINDS[n % len(KINDS)])
    s = Stage(show)
    s.fade_to(lights(s, **WARM), 0)
    steps(s, 200)
    assert s.left() == 0
    return s


def steps(stage, count):
    """So many steps -> the frames."""
    out = []
    for _ in range(count):
        stage.step(stage.time + STEP_MS)
        out.append(bytes(stage.frame))
    return out


def plain_frame(stage, looks):
    """The frame of a light for each lamp, as fade.values gives it for each of them by itself."""
    other = Stage(stage.show)
    for i, f in enumerate(stage.show.rig.fixtures):
        light = looks[f.uid]
        fade.set_ends(other.patch, i, light, light)
        for field in (fields.FROM, fields.TO, fields.END):
            fade.values(other.patch, i, f, light, light, field)
    other.step(0)
    return bytes(other.frame)


def lamp(stage, frame, f):
    return frame[f.address - 1:f.last()]


def test_a_cut_lands_in_one_frame(stage):
    was = bytes(stage.frame)
    goal = lights(stage, **DEEP)
    stage.fade_to(goal, 0)
    assert stage.left() > 0
    frames = steps(stage, 250)
    assert frames[0] == was  # with so many it cannot be at once
    assert set(frames) == {was, plain_frame(stage, goal)}
    assert stage.left() == 0


def test_no_step_works_out_more_than_a_little(stage):
    """Two lamps at most are finished in a step: each costs some ms on the chip."""
    stage.fade_to(lights(stage, **DEEP), 4000)
    most = 0
    for _ in range(500):
        before = stage.solves
        steps(stage, 1)
        most = max(most, stage.solves - before)
    assert most <= 2
    assert stage.left() == 0


def test_levels_move_at_once_and_colours_follow(stage):
    goal = lights(stage, **DEEP)
    stage.fade_to(goal, 2000)
    first = steps(stage, 3)[-1]
    for f in stage.show.rig.fixtures:
        assert stage.light(f)[LEVEL] < 0.9 * 65536
    dimmers = [f for f in stage.show.rig.fixtures if f.personality.id == "dim16"]
    assert len({lamp(stage, first, f) for f in dimmers}) == 1
    steps(stage, 220)
    assert stage.left() == 0
    assert bytes(stage.frame) == plain_frame(stage, goal)


@pytest.mark.parametrize("gap_ms", [150, 600])
@pytest.mark.parametrize("every", [7, 30])
def test_a_fade_ends_where_it_should_though_steps_come_late(stage, gap_ms, every):
    """As on a device that writes to its flash: the fade has then come segments further than what is worked out."""
    stage.fade_to(lights(stage, **WARM, apart=0), 0)
    steps(stage, 200)
    goal = lights(stage, **DEEP, apart=0)
    stage.fade_to(goal, 3000)
    for n in range(400):
        stage.step(stage.time + (STEP_MS if n % every else gap_ms))
    assert stage.left() == 0
    assert bytes(stage.frame) == plain_frame(stage, goal)


def test_lamps_that_are_asked_for_the_same_are_solved_once(stage):
    stage.fade_to(lights(stage, **DEEP, apart=0), 0)
    before = stage.solves
    steps(stage, 100)
    assert stage.left() == 0
    assert stage.solves - before == len(KINDS)  # one of each personality
    assert bytes(stage.frame) == plain_frame(stage, lights(stage, **DEEP, apart=0))


def test_lamps_in_equal_fades_are_solved_once(stage):
    stage.fade_to(lights(stage, **DEEP, apart=0), 0)
    steps(stage, 100)
    goal = lights(stage, **WARM, apart=0)
    before = stage.solves
    stage.fade_to(goal, 1000)
    steps(stage, 120)
    assert stage.left() == 0
    # One of each personality to begin with; then no more than 10 knots and an end for the four that mix emitters.
    assert stage.solves - before <= len(KINDS) + 4 * 11
    assert bytes(stage.frame) == plain_frame(stage, goal)


@pytest.mark.parametrize("after", [0, 1, 5, 20, 60])
@pytest.mark.parametrize("length", [0, 1500])
def test_another_go_begins_from_the_light_that_is_on(stage, after, length):
    stage.fade_to(lights(stage, **DEEP), length)
    steps(stage, after)
    was = bytes(stage.frame)
    goal = lights(stage, 0.5, 4000, 100, 0.6)
    stage.fade_to(goal, 2000)
    stage.step(stage.time)  # no time has passed
    assert bytes(stage.frame) == was
    frames = steps(stage, 250)
    assert frames[-1] == plain_frame(stage, goal)


def test_lights_may_be_asked_for_while_colours_are_worked_out(stage):
    stage.fade_to(lights(stage, **DEEP), 2000)
    steps(stage, 50)
    goal = lights(stage, 0.5, 4000, 100, 0.6)
    stage.fade_to(goal, 1000)
    for _ in range(150):
        steps(stage, 1)
        for f in stage.show.rig.fixtures:
            stage.light(f), stage.fade_of(f)
    assert bytes(stage.frame) == plain_frame(stage, goal)


def test_a_lamp_that_is_dialled_leaves_a_cut_and_the_others_land(stage):
    goal = lights(stage, **DEEP)
    stage.fade_to(goal, 0)
    steps(stage, 3)
    f = stage.show.rig.fixtures[8]
    stage.dial(f, level=1, hue=300, sat=0.5)
    steps(stage, 1)
    goal[f.uid] = stage.light(f)
    assert lamp(stage, stage.frame, f) == lamp(stage, plain_frame(stage, goal), f)
    steps(stage, 250)
    assert bytes(stage.frame) == plain_frame(stage, goal)


def test_a_rig_edit_in_the_midst_of_a_cut(stage):
    goal = lights(stage, **DEEP)
    stage.fade_to(goal, 0)
    before = steps(stage, 3)[-1]
    gone = stage.show.rig.fixtures[30]
    rig_edit.remove(stage.show.rig, gone)
    after = steps(stage, 1)[-1]
    for f in stage.show.rig.fixtures:
        assert lamp(stage, before, f) == lamp(stage, after, f)
    steps(stage, 250)
    assert bytes(stage.frame) == plain_frame(stage, goal)


def test_blackout_does_not_wait_for_a_cut(stage):
    goal = lights(stage, **DEEP)
    stage.fade_to(goal, 0)
    steps(stage, 3)
    stage.blackout = True
    steps(stage, 1)
    dimmer = stage.show.rig.fixtures[0]
    assert lamp(stage, stage.frame, dimmer) == b"\0"
    steps(stage, 250)
    stage.blackout = False
    steps(stage, 1)
    assert bytes(stage.frame) == plain_frame(stage, goal)


def test_a_cut_counts_as_done_for_what_keeps_the_light(stage):
    goal = lights(stage, **DEEP)
    stage.fade_to(goal, 0)
    f = stage.show.rig.fixtures[9]
    assert stage.fade_of(f) == (goal[f.uid], goal[f.uid], 0, 0, fade.LINEAR)
    assert stage.light(f)[LEVEL] == int(0.9 * 65536)  # and what is on is still the old


def test_slots_of_nobody_come_with_the_cut(stage):
    goal = lights(stage, **DEEP)
    was = stage.frame[511]
    stage.fade_to(goal | {0: [[512, 77]]}, 0)
    frames = steps(stage, 250)
    assert {(frame[511], frame == frames[-1]) for frame in frames} == {(was, False), (77, True)}


def test_the_resting_frame_is_told_early_in_a_fade(stage):
    goal = lights(stage, **DEEP)
    stage.fade_to(goal, 60000)
    out = bytearray(512)
    assert not stage.resting_frame(out)
    steps(stage, 400)
    assert stage.resting_frame(out)
    assert bytes(out) == plain_frame(stage, goal)


@pytest.mark.parametrize("its_own", [False, True], ids=["by the step", "by the look"])
def test_the_next_cut_of_the_running_order_is_ready(stage, its_own):
    """What was worked out ahead lands in the step after `next`."""
    goal = lights(stage, **DEEP)
    stage.show.looks.store("Warm", lights(stage, **WARM), 0)
    stage.show.looks.store("Deep", goal, 0 if its_own else 5000)
    player = OrderPlayer(stage)
    for name in ("Warm", "Deep"):
        step = player.order.add(stage.show.looks.number(name))
        if not its_own:
            player.order.set(step, 3, 0)
    player.next()
    for _ in range(600):
        player.step(stage.time)
        steps(stage, 1)
    was = bytes(stage.frame)
    player.next()
    stage.step(stage.time + STEP_MS)
    assert bytes(stage.frame) == plain_frame(stage, goal) != was


def test_a_look_stored_anew_is_not_taken_from_what_was_ready(stage):
    stage.show.looks.store("Warm", lights(stage, **WARM), 0)
    stage.show.looks.store("Deep", lights(stage, **DEEP), 0)
    player = OrderPlayer(stage)
    player.order.fill(list(stage.show.looks.ids))
    player.next()
    for _ in range(600):
        player.step(stage.time)
        steps(stage, 1)
    goal = lights(stage, 0.5, 4000, 100, 0.6)
    stage.show.looks.store("Deep", goal, 0)
    player.next()
    steps(stage, 250)
    assert bytes(stage.frame) == plain_frame(stage, goal)


def test_what_is_built_has_a_place_for_the_end_of_each_channel(stage):
    patch = stage.patch
    for i in range(64):
        for p in fade.channels(patch, i):
            assert patch.channels[p + fields.END] == patch.channels[p + fields.TO]


@pytest.mark.parametrize("seed", [8, 13, 20, 26, 27, 41, 45, 47, 49, 53])
def test_equal_lamps_end_alike_however_late_their_colours_are(seed):
    """A chip works out some knots late, and between two lamps that share them time passes: each was then in a segment
    of its own, and one could end in a colour on the way (seen on the emulated RP2040)."""
    dice, show = random.Random(seed), empty_show()
    for n in range(32):
        show.rig.add(("rgbw", "rgbww", "rgb", "full")[n % 4])
    a, b, c = [{f.uid: light[:] for f in show.rig.fixtures} for light in (
        [dice.randint(5000, 60000), dice.randint(2600, 9000), 0, dice.randrange(36000), dice.randint(2000, 10000),
         dice.randint(3000, 10000), {}] for _ in range(3))]
    s = Stage(show)

    def run(ms):
        end = s.time + ms
        while s.time < end:
            s.step(s.time + dice.choice((6, 12, 25, 60)))

    s.fade_to(a, 0)
    run(3000)
    s.aim(b, -1)
    s.by_hand = show.rig.fixtures[:]
    run(300)
    for _ in range(dice.randint(1, 8)):
        s.crossfade_at(round(dice.random() * 40) / 50)
        run(120)
    s.fade_to(c, 2000)
    run(5000)
    for first in range(4):
        alike = {bytes(s.frame[f.address - 1:f.last()]) for f in show.rig.fixtures[first::4]}
        assert len(alike) == 1, show.rig.fixtures[first].personality.id


def test_a_dozen_rgbw_lamps_keep_near_their_paths_in_a_second():
    """In steps 10 ms apart, as on the chip, judged by the continuous path (tests/bench/fade.py), hues up to half the
    circle apart. The straight line between two ends is up to 0.1 in u'v' away; five segments leave a fifth of that."""
    for seed in (3, 4, 5):
        assert many(random.Random(seed), 12, "rgbw16") < 0.025
