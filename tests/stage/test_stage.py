"""Dialling, looks, fades, master, blackout: what goes out and when."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firmware.light import chromaticity, colour, emitters
from firmware.show import looks_edit, rig_edit
from firmware.show.look_record import SOFT
from firmware.show.show import Show
from firmware.stage import stage_verbs
from firmware.stage.fade import LINEAR
from firmware.stage.fade import SOFT as S
from firmware.stage.stage import Stage
from sim.disk import MemoryDisk
from tests.stage.conftest import slots

TICK_MS = 23  # one frame of 512 slots is 22.7 ms (ANSI E1.11)


def run(stage, start, ms):
    """Step from start to start + ms, a frame at a time -> the time of the last step."""
    for now in range(start + TICK_MS, start + ms + TICK_MS, TICK_MS):
        stage.step(now)
    return now


def test_one_stop_down_is_half_the_light(stage):
    """-n stops is 2**-n of the light: the photometric definition of the stop."""
    stage.dial("dim16", level=1)
    for n in range(9):
        stage.step(n)
        assert abs(slots(stage, "dim16")[0] - 65535 / 2**n) <= 1
        stage.shift([stage.show.rig.find("dim16")], "level", -1)


def test_a_group_keeps_its_ratios(stage):
    lamps = [stage.show.rig.find(n) for n in ("dim16", "white16", "rgbw16")]
    for f, level in zip(lamps, (0.5, 0.125, 0.25)):
        stage.dial(f, level=level)
    stage.shift(lamps, "level", 0.5)
    got = [stage.value(f, "level") for f in lamps]
    assert got == pytest.approx([x * math.sqrt(2) for x in (0.5, 0.125, 0.25)], rel=1e-3)
    stage.shift(lamps, "level", 3)  # the first reaches full after half a stop: all wait there
    got = [stage.value(f, "level") for f in lamps]
    assert got == pytest.approx([1, 0.25, 0.5], rel=1e-3)
    assert stage.message == "dim16 is full"


def test_slots_of_each_kind(stage):
    for name in ("white16", "tint16", "full16"):
        stage.dial(name, level=1, cct=6500, duv=0.02, hue=180, sat=0.5)
    stage.dial("rgb16", level=1, cct=6500)
    stage.dial("raw4", slot2=65535)
    stage.step(1)
    assert slots(stage, "white16") == [65535, 65535]
    assert slots(stage, "tint16") == [65535, 65535, 65535]
    level, cct, duv, mix, hue, sat = slots(stage, "full16")
    assert (level, cct, duv, mix) == (65535, 65535, 65535, 65535)
    assert abs(hue - 32768) <= 2
    assert abs(sat - 32768) <= 2
    assert max(slots(stage, "rgb16")) == 65535  # the most light of that white: one emitter at full
    assert slots(stage, "raw4") == [0, 255, 0, 0]


def test_a_lamp_out_of_its_range_stays_at_its_end(stage):
    stage.dial("white16", level=1, cct=2000)
    stage.step(1)
    assert slots(stage, "white16")[1] == 0
    stage.dial("white16", cct=10000)
    stage.step(2)
    assert slots(stage, "white16")[1] == 65535


def test_master_and_blackout_move_intensity_only(stage):
    for name in ("white16", "full16", "rgbw16"):
        stage.dial(name, level=0.8, cct=4300, hue=200, sat=0.4)
    stage.dial("raw4", slot1=30000)
    stage.step(1)
    before = {n: slots(stage, n) for n in ("white16", "full16", "rgbw16", "raw4")}
    stage.master = 0.5
    stage.step(2)
    for n in ("white16", "full16"):
        assert abs(slots(stage, n)[0] - before[n][0] / 2) <= 2
        assert slots(stage, n)[1:] == before[n][1:]
    assert slots(stage, "rgbw16") == pytest.approx([v / 2 for v in before["rgbw16"]], abs=2)
    stage.blackout = True
    stage.step(3)
    assert slots(stage, "white16") == [0] + before["white16"][1:]
    assert slots(stage, "rgbw16") == [0] * 4
    assert slots(stage, "raw4") == before["raw4"]
    stage.blackout, stage.master = False, 1
    stage.step(4)
    assert {n: slots(stage, n) for n in before} == before


def test_a_lamp_exempt_from_the_master_still_goes_black(stage):
    rig = stage.show.rig
    stage.dial("dim16", level=1)
    rig_edit.trim(rig, rig.find("dim16"), free=1)
    stage.master = 0.25
    stage.step(1)
    assert slots(stage, "dim16") == [65535]
    stage.blackout = True
    stage.step(2)
    assert slots(stage, "dim16") == [0]


def test_all_full_gives_the_light_back(stage):
    stage.dial("dim16", level=0.1)
    stage.dial("white16", level=0.2, cct=3000)
    stage.master = 0.5
    stage.step(1)
    before = bytes(stage.frame)
    stage.full = True
    stage.step(2)
    assert slots(stage, "dim16") == [65535]
    assert slots(stage, "white16")[0] == 65535
    stage.full = False
    stage.step(3)
    assert bytes(stage.frame) == before


def look(stage, name, **lights):
    """Store a look of some lamps only."""
    for lamp, asked in lights.items():
        stage.dial(lamp, **asked)
    stage.step(0)
    stage.store(name, [stage.show.rig.find(lamp) for lamp in lights])


@pytest.mark.parametrize("seconds", [0, 0.02, 0.5, 3, 600])
def test_a_fade_ends_on_time_and_exactly(stage, seconds):
    look(stage, "A", dim16={"level": 0.2}, rgbw16={"level": 1, "cct": 5600})
    want = bytes(stage.frame)
    look(stage, "B", dim16={"level": 1}, rgbw16={"level": 0.1, "hue": 100, "sat": 1})
    stage.go("A", seconds)
    end = seconds * 1000
    step = max(23, int(end / 40))
    now = 0
    while now < end - 1:
        assert stage.left() > 0
        stage.step(now)
        now += step
    stage.step(int(end) + 1)
    assert stage.left() == 0
    assert bytes(stage.frame) == want


def test_a_fade_aimed_anew_starts_from_the_light_that_is_on(stage):
    look(stage, "Low", dim16={"level": 0}, white16={"level": 0, "cct": 3000}, rgb16={"level": 0.2, "hue": 10, "sat": 1})
    look(stage, "High", dim16={"level": 1}, white16={"level": 1, "cct": 6000}, rgb16={"level": 1, "hue": 100, "sat": 1})
    stage.go("Low", 0)
    stage.step(0)
    stage.go("High", 2)
    now = run(stage, 0, 900)
    before = bytes(stage.frame)
    stage.go("Low", 5)
    stage.step(now)
    for name in ("dim16", "white16", "rgb16"):
        f = stage.show.rig.find(name)
        for s in range(f.address - 1, f.last(), 2):
            was, is_ = before[s] << 8 | before[s + 1], stage.frame[s] << 8 | stage.frame[s + 1]
            # A light in mid-fade is kept in whole kelvin, hundredths of a degree and 0.01 % of saturation.
            assert abs(was - is_) <= 40, (name, s)
    run(stage, now, 5100)
    assert slots(stage, "dim16") == [0]


def test_a_look_of_some_lamps_leaves_the_others_alone(stage):
    look(stage, "One", dim16={"level": 1})
    look(stage, "Two", white16={"level": 1, "cct": 5600})
    stage.go("One", 0)
    stage.dial("dim16", level=0)
    stage.dial("white16", level=0)
    stage.go("One", 2)
    now = run(stage, 0, 1000)
    stage.go("Two", 1)  # the fade of the first goes on beside it
    run(stage, now, 1100)
    assert slots(stage, "dim16") == [65535]
    assert slots(stage, "white16")[0] == 65535


def test_pause_holds_and_goes_on(stage):
    look(stage, "Up", dim16={"level": 1})
    stage.dial("dim16", level=0)
    stage.go("Up", 2)
    now = run(stage, 0, 1000)
    half = slots(stage, "dim16")
    stage.pause(True)
    now = run(stage, now, 5000)
    assert slots(stage, "dim16") == half
    stage.pause(False)
    now = run(stage, now, 500)
    assert half[0] < slots(stage, "dim16")[0] < 65535
    run(stage, now, 600)
    assert slots(stage, "dim16") == [65535]


def test_a_crossfade_by_hand_goes_both_ways(stage):
    look(stage, "Up", dim16={"level": 1}, rgb16={"level": 1, "hue": 240, "sat": 1})
    stage.dial("dim16", level=0)
    stage.dial("rgb16", level=1, hue=0, sat=1)
    stage.crossfade("Up")
    for share in (0, 0.25, 0.9, 0.5):
        stage.crossfade_at(share)
        stage.step(5)
        assert abs(slots(stage, "dim16")[0] - share * 65535) <= 2
    assert stage.crossfade_at() == pytest.approx(0.5)
    stage.crossfade_at(1)
    stage.step(6)
    assert slots(stage, "dim16") == [65535]
    stage.crossfade_at(0.2)  # it is over: nothing moves any more
    stage.step(7)
    assert slots(stage, "dim16") == [65535]


def seen(stage, lags, begin, end, held=()):
    """Light of lamps, {name: share}, at each 5 ms: each follows its drive as 1 - exp(-t / lag), the first-order lag of
    any textbook of control. lags: {name: ms}."""
    light, out = {name: slots(stage, name)[0] / 65535 for name in lags}, []
    for now in range(begin, end, 5):
        stage.pause(now in held)
        stage.step(now)
        for name, lag in lags.items():
            share = 1 - math.exp(-5 / lag) if lag else 1
            light[name] += (slots(stage, name)[0] / 65535 - light[name]) * share
        out.append(dict(light))
    return out


def stops_apart(lights):
    return max(abs(math.log2(a["dim16"] / a["white16"])) for a in lights)


LAGS = {"dim16": 400, "white16": 0}


@pytest.fixture
def slow(stage):
    """dim16 is slow by 400 ms; both are four stops below full."""
    rig_edit.trim(stage.show.rig, stage.show.rig.find("dim16"), lag=400)
    look(stage, "Up", dim16={"level": 1}, white16={"level": 1})
    look(stage, "Down", dim16={"level": 1 / 32}, white16={"level": 1 / 32})
    for n in LAGS:
        stage.dial(n, level=1 / 16)
    stage.step(0)
    return stage


@pytest.mark.parametrize("curve", [LINEAR, S])
def test_all_lamps_of_a_fade_wait_for_the_slowest(slow, curve):
    """A tenth of a stop is what this firmware's own goal allows."""
    for name in ("Up", "Down"):
        looks_edit.set_fade(slow.show.looks, name, 2000 + curve * SOFT)
    slow.go("Up")
    lights = seen(slow, LAGS, 0, 6000)
    assert stops_apart(lights) < 0.1
    assert slots(slow, "dim16") == [65535] and slots(slow, "white16")[0] == 65535 and not slow.left()
    slow.go("Down")
    assert stops_apart(seen(slow, LAGS, 6000, 12000)) < 0.1
    assert slots(slow, "dim16")[0] == slots(slow, "white16")[0] == 2048 and not slow.left()


def test_a_fade_in_the_midst_of_another_and_one_that_is_held_keep_lamps_together(slow):
    slow.go("Up", 2)
    assert stops_apart(seen(slow, LAGS, 0, 3000, held=range(500, 1500))) < 0.1
    slow.go("Down", 2)
    seen(slow, LAGS, 3000, 4000)
    lights = {name: slots(slow, name)[0] for name in LAGS}
    slow.go("Up", 2)
    slow.step(4000)
    assert slots(slow, "dim16")[0] == pytest.approx(lights["dim16"], abs=300)  # no jump
    assert slots(slow, "white16")[0] == pytest.approx(lights["white16"], abs=300)


def test_the_slow_lamp_alone_the_knob_and_a_cut_wait_for_nothing(slow):
    slow.go("Up", 0)
    slow.step(1)
    assert slots(slow, "white16")[0] == 65535
    slow.dial("white16", level=0.25)
    slow.step(2)
    assert slots(slow, "white16")[0] == 16384
    slow.go("Down", 2)
    slow.step(500)
    slow.dial("white16", level=0.25)
    slow.step(505)
    assert slots(slow, "white16")[0] == 16384
    slow.crossfade("Up")
    slow.crossfade_at(0.5)
    slow.step(510)
    assert slots(slow, "white16")[0] == pytest.approx(65535 * 0.625, abs=2)


def test_a_lag_that_is_taken_away_in_mid_fade_holds_nobody_back(slow):
    slow.go("Up", 2)
    slow.step(1000)
    assert slow.fade_of(slow.show.rig.find("white16"))[-1] == LINEAR  # what is kept over a restart
    rig_edit.trim(slow.show.rig, slow.show.rig.find("dim16"), lag=None)
    slow.step(1500)
    assert slots(slow, "white16")[0] == pytest.approx(65535 * (1 / 16 + 15 / 16 * 0.75), abs=4)
    slow.step(2000)
    assert slots(slow, "white16")[0] == 65535 and slow.lags is None


def test_a_look_fades_by_its_own_curve_which_lasts(stage):
    """3 u^2 - 2 u^3, the S curve of any animation handbook (smoothstep)."""
    look(stage, "Up", dim16={"level": 1})
    looks_edit.set_fade(stage.show.looks, "Up", 1000 + SOFT)
    stage.store("Up")  # other light
    looks_edit.rename(stage.show.looks, "Up", "Rise")
    looks_edit.copy(stage.show.looks, "Rise", "Up")
    stage.dial("dim16", level=0)
    stage.go("Up", 1)
    for ms in range(0, 1001, 50):
        stage.step(ms)
        x = ms / 1000
        assert abs(slots(stage, "dim16")[0] - 65535 * x * x * (3 - 2 * x)) <= 4
    stage.dial("dim16", level=0)
    looks_edit.set_fade(stage.show.looks, "Up", SOFT)  # a cut has no curve
    stage.go("Up")
    stage.step(1001)
    assert slots(stage, "dim16") == [65535]


def test_hue_takes_the_short_way(stage):
    look(stage, "Red", full16={"level": 1, "hue": 350, "sat": 1})
    stage.dial("full16", hue=20)
    stage.step(0)
    stage.go("Red", 1)
    stage.step(500)
    hue = slots(stage, "full16")[4] * 360 / 65535
    assert min(abs(hue - 5), abs(hue - 365)) < 0.1


def test_renaming_and_repatching_in_mid_fade_does_not_jump(stage):
    look(stage, "Up", dim16={"level": 1}, rgbw16={"level": 1, "hue": 100, "sat": 1})
    stage.dial("dim16", level=0)
    stage.dial("rgbw16", level=0.5, sat=0)
    stage.go("Up", 4)
    now = run(stage, 0, 2000)
    before = slots(stage, "dim16") + slots(stage, "rgbw16")
    rig_edit.rename(stage.show.rig, stage.show.rig.find("dim16"), "Kicker")
    stage.show.rig.add("dim", "New")
    stage.step(now)
    after = slots(stage, "Kicker") + slots(stage, "rgbw16")
    assert after == pytest.approx(before, abs=2)


def test_a_swapped_model_keeps_the_look(stage):
    """Looks hold light: what an RGBW lamp did, an RGB + warm + cool lamp does after it."""
    rig = stage.show.rig
    spare = rig.add("rgbw16", "Spare", 400)
    look(stage, "Dusk", Spare={"level": 0.5, "cct": 3200})
    rig_edit.swap(rig, spare, "white16")
    stage.go("Dusk", 0)
    stage.step(1)
    level, cct = slots(stage, "Spare")
    assert abs(level - 32768) <= 1
    assert abs(cct - (3200 - 2700) / 3800 * 65535) <= 1


@pytest.mark.parametrize("hue", [0, 60, 100, 200, 290])
def test_a_colour_out_of_reach_keeps_its_hue_and_says_how_far_it_is(stage, hue):
    """CIE 1976 u'v' from the asked colour, and the hue of what the lamp gives, over the same white."""
    stage.dial("rgbw16", level=1, cct=4300, hue=hue, sat=1)
    stage.step(1)
    f = stage.show.rig.find("rgbw16")
    x, y, _light = emitters.read(f.personality.mix, [v / 65535 for v in slots(stage, "rgbw16")])
    asked = colour.over_white(hue, 1, 4300)
    assert stage.miss(f) == pytest.approx(colour.delta_uv(x, y, *asked), abs=0.001)
    got, _sat = chromaticity.hue_sat(x, y, 4300)
    assert abs((got - hue + 180) % 360 - 180) < 2


def test_bad_asks_are_refused_by_name(stage):
    with pytest.raises(KeyError, match="Nobody"):
        stage.dial("Nobody", level=1)
    with pytest.raises(KeyError, match="dim16 has no gobo"):
        stage.dial("dim16", gobo=1)
    with pytest.raises(ValueError, match="No look called Nothing"):
        stage.go("Nothing")
    look(stage, "A", dim16={"level": 1})
    for seconds in (-1, 601):
        with pytest.raises(ValueError, match="can be 0 to 600"):
            stage.go("A", seconds)


lights = st.fixed_dictionaries({
    "level": st.floats(0, 1), "cct": st.integers(1800, 12000), "duv": st.floats(-0.02, 0.02),
    "hue": st.floats(0, 359), "sat": st.floats(0, 1)})


@settings(max_examples=40, deadline=None)
@given(a=lights, b=lights, at=st.integers(1, 999))
def test_a_fade_stays_between_its_ends(a, b, at):
    """Level, white and green of a lamp that has them never leave the span of the two looks."""
    disk = MemoryDisk()
    disk.mkdir("shows")
    disk.mkdir("shows/a")
    s = Stage(Show(disk, "shows/a"))
    s.show.rig.add("full16", "full16")
    s.step(0)
    ends = []
    for light in (a, b):
        s.dial("full16", **light)
        s.step(0)
        ends.append(slots(s, "full16"))
        s.store("look %d" % len(ends))
    s.go("look 1", 1)
    s.step(at)
    for k, value in enumerate(slots(s, "full16")):
        if k != 4:  # hue goes round
            low, high = sorted((ends[0][k], ends[1][k]))
            assert low - 1 <= value <= high + 1


def test_blackout_beats_all_at_full(stage):
    stage.dial("dim16", level=0.5)
    stage.full = stage.blackout = True
    stage.step(1)
    assert slots(stage, "dim16") == [0] and slots(stage, "white16")[0] == 0
    stage.blackout = False
    stage.step(2)
    assert slots(stage, "dim16") == [65535]


def test_a_fade_from_white_has_the_hue_that_it_goes_to(stage):
    """White has no hue: one that was dialled before must not come up on the way."""
    stage.dial("full16", level=1, hue=20, sat=0)
    stage.store("white")
    stage.dial("full16", hue=200, sat=0.9)
    stage.store("blue")
    stage.go("white", 0)
    stage.step(100)
    stage.go("blue", 4)
    for now in range(120, 4200, 400):
        stage.step(now)
        if stage.value(stage.show.rig.find("full16"), "sat") > 0:
            assert stage.value(stage.show.rig.find("full16"), "hue") == pytest.approx(200, abs=0.02), now


def test_the_knob_ends_at_out_and_at_full(stage):
    """What it asks beyond either is that end: out is 0, not a rest of light, though no slot would show that."""
    f = stage.show.rig.find("dim16")
    for asked, wanted in ((300, 300), (0, 0), (300, 300), (-300, 0), (65000, 65000), (66000, 65536)):
        stage_verbs.dial_level(stage, f, asked)
        stage.step(stage.time + 20)
        assert stage_verbs.level_of(stage, f) == wanted, asked
