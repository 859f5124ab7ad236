"""Effects as light: what they do to frames, and their limit on flashing."""

import random

import pytest

from firmware.light.effects import table
from firmware.show import effect_settings, rig_edit
from firmware.show.effect_fields import ACTS, COLOUR, DEPTH, FADE, LEVEL, PARAMS, WHITE
from firmware.stage.flash_limiter import Limiter
from tests.day import flashes
from tests.day.lit import TICK, Lit, levels, module

# --- the limit on flashing ---


def everything_on(lit):
    """All effects with all lamps, the fastest they go."""
    for n, kind in enumerate(table.NAMES):
        _acts, may, specs = effect_settings.kind(kind)
        if may & LEVEL:
            quick = [spec[2] if spec[1] == "ms" else spec[3] for spec in specs]
            lit.start(kind, *quick, seed=n + 1, acts=LEVEL)


@pytest.mark.parametrize("base", [(0, 0, 0, 0), (0.3,) * 4, (0.7,) * 4, (1, 0.9, 0.2, 0)])
def test_all_effects_together_stay_under_three_flashes_a_second(base):
    """Counted as WCAG 2.3.1 says (flashes.py), in each lamp, their mean, and weighted sums."""
    lit = Lit(*["dim16"] * 4)
    for f, level in zip(lit.fixtures, base, strict=True):
        lit.stage.dial(f, level=level)
    everything_on(lit)
    frames = lit.run(60)
    rows = [levels(frames, 2 * n) for n in range(4)]
    dice = random.Random(3)
    for weights in [(1, 0, 0, 0), (0, 0, 0, 1), (1, 1, 1, 1)] + [[dice.random() for _ in range(4)] for _ in range(20)]:
        mixed = [sum(w * r[n] for w, r in zip(weights, rows, strict=True)) / sum(weights) for n in range(len(frames))]
        assert flashes.worst(mixed, 1000 // TICK) <= 3
    assert len(flashes.changes(rows[0])) > 20  # they do flash


@pytest.mark.parametrize("level", [0.1, 1])
def test_the_first_change_counts_whichever_way_it_goes(level):
    """A flash is a pair of opposing changes of 10 % and more (WCAG 2.2, general flash): what is on at first has no way
    yet."""
    lit = Lit("dim16")
    limiter, frame = Limiter(lit.stage), bytes(lit.stage.frame)
    out = bytearray(frame)
    limiter.pass_on(frame, frame, out, 0)
    assert limiter.changes() == 0
    for then, changes in ((level, 1), (0.5, 2)):
        lit.stage.dial(lit.fixtures[0], level=then)
        lit.run(0.1)
        frame = bytes(lit.stage.frame)
        limiter.pass_on(frame, frame, out, lit.now)
        assert limiter.changes() == changes


def test_settings_in_words():
    """A second is 1,000 ms; a value with choices is the name of one of them."""
    for unit, value, words in (("ms", 1500, "1.5 s"), ("%", 60, "60 %"), ("", 4, "4"), ("any/in turn", 1, "in turn")):
        assert effect_settings.text(("What", unit, 0, 9999, 1, 1), value) == words


def test_lamps_that_flash_in_turn_share_one_limit():
    """Six lamps with six runs of lightning: the union of all changes stays under three pairs a second."""
    lit = Lit(*["dim16"] * 6)
    for n, f in enumerate(lit.fixtures):
        effect = effect_settings.new("Lightning", [f.uid], n + 1)
        effect[PARAMS], effect[FADE] = [40, 8, 60], 0
        lit.effects.start(effect, 0)
    frames = lit.run(60)
    rows = [levels(frames, 2 * n) for n in range(6)]
    mean = [sum(row[n] for row in rows) / 6 for n in range(len(frames))]
    most = [max(row[n] for row in rows) for n in range(len(frames))]
    assert max(flashes.worst(row, 50) for row in [*rows, mean, most]) <= 3
    assert sum(len(flashes.changes(row)) for row in rows) > 60


def test_without_the_limit_it_is_over_three():
    """The check can fail, and accepting the caution does something."""
    lit = Lit("dim16")
    lit.effects.keep_limit(False)
    lit.start("Welding", 10000, 200, 100)
    assert flashes.worst(levels(lit.run(20), 0), 50) > 5


def test_the_rate_on_the_page_is_what_is_counted():
    lit = Lit("dim16")
    lit.effects.keep_limit(False)
    lit.stage.dial("Lamp 1", level=1)
    lit.start("Pulse", 500, 50, 0)  # two a second
    frames = lit.run(10)
    assert flashes.worst(levels(frames, 0), 50) == 2
    assert lit.effects.rate() in (4, 5)


def test_the_limit_lets_small_flicker_through():
    """Changes under a tenth are no flashes: the frames are those without the limit."""
    with_limit, without = Lit("dim16", "dim16"), Lit("dim16", "dim16")
    without.effects.keep_limit(False)
    for lit in (with_limit, without):
        lit.start("Candle", 12, 0)
    assert with_limit.run(20) == without.run(20)


def test_the_limit_leaves_a_slow_pulse_alone():
    with_limit, without = Lit("dim16"), Lit("dim16")
    without.effects.keep_limit(False)
    for lit in (with_limit, without):
        lit.start("Pulse", 1000, 50, 20)
    assert with_limit.run(10) == without.run(10)


def test_held_back_it_comes_to_rest_at_the_looks_own_light():
    """Of many strokes the last ones are not seen; none is frozen bright."""
    lit = Lit("dim16")
    lit.stage.dial("Lamp 1", level=0.1)
    lit.start("Lightning", 40, 10, 60)
    row = levels(lit.run(60), 0)
    bright = [v > 0.25 for v in row]
    runs = max(len(part) for part in "".join("x" if b else " " for b in bright).split())
    assert runs <= 40  # the longest a stroke with continuing current and its decay may show; not for a second


# --- in the frames ---


def test_adding_never_goes_under_the_look_and_taking_never_over():
    for kind in table.NAMES:
        if LEVEL & effect_settings.kind(kind)[1]:
            lit = Lit("dim16")
            lit.start(kind, acts=LEVEL)
            row = levels(lit.run(30), 0)
            adds = module(kind).ADDS
            assert all(v >= 0.4999 for v in row) if adds else all(v <= 0.5001 for v in row), kind


def test_depth_is_how_far_it_goes():
    lit = Lit("dim16")
    lit.stage.dial("Lamp 1", level=1)
    effect = lit.start("Pulse", 2000, 50, 0, depth=40)
    row = levels(lit.run(4), 0)
    assert min(row) == pytest.approx(0.6, abs=0.001) and max(row) == 1
    effect[DEPTH] = 0
    lit.effects.follow_depth(effect, lit.now)
    assert set(levels(lit.run(4), 0)) == {1.0}


def test_it_starts_and_stops_by_fade():
    lit = Lit("dim16")
    lit.stage.dial("Lamp 1", level=1)
    effect = lit.start("Low sun", 120, 0, 0, fade=2000, acts=LEVEL)  # stands at nothing: only the fade is seen
    row = levels(lit.run(2.1), 0)
    assert row == sorted(row, reverse=True)
    assert row[50] == pytest.approx(0.5, abs=0.02) and row[-1] < 0.001
    lit.effects.stop(effect, lit.now)
    row = levels(lit.run(2.1), 0)
    assert row == sorted(row) and row[-1] == 1 and not lit.effects.running


def test_blackout_and_master_rule_over_effects():
    lit = Lit("dim16")
    lit.start("Lightning", 40, 10, 60)
    lit.stage.blackout = True
    assert all(v == 0 for v in levels(lit.run(10), 0))
    lit.stage.blackout = False
    lit.stage.master = 0.5
    assert 0.4 < max(levels(lit.run(20), 0)) <= 0.5
    lit.stage.full = True
    assert set(levels(lit.run(5), 0)) == {1.0}


def test_a_look_stored_under_an_effect_is_the_look():
    lit = Lit("full16", "rgbw16")
    before = lit.stage.present()
    lit.start("Flame")
    lit.run(3)
    assert lit.stage.present() == before


@pytest.mark.parametrize("kind", ["tint16", "full16", "rgbww16", "rgb"])
@pytest.mark.parametrize("acts", [WHITE, COLOUR, LEVEL | WHITE])
def test_after_the_stop_the_frame_is_as_before(kind, acts):
    lit = Lit(kind)
    lit.run(0.1)
    before = bytes(lit.stage.frame)
    try:
        effect = lit.start("Television", acts=acts)
    except ValueError:
        assert (kind, acts) == ("tint16", COLOUR)
        return
    assert len(set(lit.run(10))) > 5
    lit.effects.stop(effect, lit.now)
    lit.run(0.5)
    assert bytes(lit.stage.frame) == before


def test_white_moves_in_small_steps():
    """Between keyframes the tick moves evenly: no jump of more than a fortieth of the span in a frame."""
    lit = Lit("tint16")
    lit.start("Low sun", 1, 0, 0, acts=WHITE)
    row = [frame[2] << 8 | frame[3] for frame in lit.run(59)][10:]
    assert max(abs(b - a) for a, b in zip(row, row[1:], strict=False)) < 1600
    assert row[-1] > row[100]  # cooler as it rises


def test_dialling_under_a_colour_effect_never_shows_the_bare_look():
    lit = Lit("full16")
    lit.stage.dial("Lamp 1", hue=0, sat=1)
    effect = lit.start("Colour walk", 20000, 0, acts=COLOUR)
    lit.run(5)
    lit.now += 20
    lit.stage.step(lit.now)
    hue = lit.stage.frame[8] << 8 | lit.stage.frame[9]
    assert hue > 10000  # the bare look's is 0
    for level in (0.4, 0.3, 0.2):
        lit.stage.dial("Lamp 1", level=level)
        lit.now += 20
        lit.stage.step(lit.now)
        assert abs((lit.stage.frame[8] << 8 | lit.stage.frame[9]) - hue) < 700
    lit.effects.stop(effect, lit.now)


def test_a_fade_goes_on_under_an_effect():
    lit = Lit("rgbw16")
    lit.stage.dial("Lamp 1", level=1, hue=240, sat=1)
    lit.stage.store("Blue")
    lit.stage.dial("Lamp 1", level=0.2, sat=0)
    goal_look = lit.stage.show.looks.recall("Blue")[0]
    effect = lit.start("Television", acts=WHITE)
    lit.stage.go("Blue", 3)
    lit.run(1.5)
    lit.effects.stop(effect, lit.now)
    lit.run(2)
    assert lit.stage.present()[1][:6] == goal_look[1][:6]
    twin = Lit("rgbw16")
    twin.stage.dial("Lamp 1", level=1, hue=240, sat=1)
    twin.run(0.1)
    assert bytes(lit.stage.frame) == bytes(twin.stage.frame)


def test_a_lamp_that_lacks_it_is_said():
    lit = Lit("dim", "tint")
    effect = effect_settings.new("Colour walk", [1, 2])
    with pytest.raises(ValueError, match="Lamp 1, Lamp 2 has no colour"):
        lit.effects.start(effect, 0)
    effect = effect_settings.new("Television", [1, 2])
    effect[ACTS] = WHITE
    lit.effects.start(effect, 0)
    assert lit.effects.message == "Left out: Lamp 1"
    with pytest.raises(ValueError, match="choose others"):
        lit.effects.start(effect_settings.new("Candle", [99]), 0)


def test_the_rig_changes_under_it():
    lit = Lit("dim16", "full16", "rgb")
    lit.start("Flame", acts=7)
    lit.run(1)
    gone = lit.fixtures[0]
    rig_edit.remove(lit.show.rig, gone)
    lit.run(1)
    rig_edit.put_back(lit.show.rig, gone, 0)
    lit.show.rig.add("dim16", "New")
    assert len({frame[:2] for frame in lit.run(3)}) > 10
