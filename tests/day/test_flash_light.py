"""The limit on flashing, in the light that lamps give of the frames (glow.py), by a counter of its own (flashes.py).

WCAG 2.2, success criterion 2.3.1: no more than three general or red flashes in any one second.
"""

import os

import pytest

from tests.day import flashes, glow
from tests.day.lit import Lit
from tests.day.mixtures import Mixture

LONG = bool(os.environ.get("LONG"))
_SECOND = 50  # ticks


def lamp(kind, effect, params, **asked):
    """A lamp at a look, under an effect at its fastest."""
    lit = Lit(kind)
    lit.stage.dial("Lamp 1", **asked)
    lit.run(0.2)
    lit.start(effect, *params)
    return lit


def worst(lit, frames, curves=glow.USUAL):
    """Flashes in the worst second, of any lamp or of all together."""
    most = 0
    for curve in curves:
        rows = [glow.rows(f, frames, curve) for f in lit.fixtures]
        most = max([most, *[flashes.worst_light(row, _SECOND) for row in [*rows, glow.mean(rows)]]])
    return most


# --- the counter ---


def test_the_counter_counts_pairs_of_opposing_changes():
    """Worked by hand from the definition: on and off four times in a second are four flashes; 9 % are none; nor is what
    stays above 0.80; red and black are a red flash where the luminance hardly changes."""
    blink = [1.0, 0.0] * 4 + [0.0] * 60
    assert flashes.rate(flashes.changes(blink), _SECOND) == 3.5  # eight states, seven changes
    assert not flashes.changes([0.5, 0.59] * 20) and not flashes.changes([0.81, 1.0] * 20)
    red = [(0.02, 0.1, 0.0, 0.0), (0.0, 0.0, 0.0, 0.0)] * 4
    assert len(flashes.red_changes(red)) == 7 and not flashes.changes([y for y, *_ in red])
    assert not flashes.red_changes([(0.5, 0.5, 0.4, 0.4), (0.0, 0.0, 0.0, 0.0)] * 4)
    pale = [(0.21, 1.0, 0.0, 0.0), (0.21, 0.3, 0.2, 0.2)] * 4  # red to grey of the same luminance
    assert len(flashes.red_changes_uv(pale)) == 7


# --- what was found to flash with the limit on ---


@pytest.mark.parametrize("asked", [{"cct": 4300}, {"hue": 0, "sat": 1}, {"hue": 120, "sat": 1}, {"hue": 240, "sat": 1}])
def test_a_pulse_of_white_and_colour_on_emitters(asked):
    lit = lamp("rgbw16", "Pulse", (200, 50, 0), level=0.9, **asked)
    running = lit.effects.running[0].effect
    for acts in (2, 4, 7):
        running[1] = acts
        lit.start("Pulse", 200, 50, 0, acts=acts)
        assert worst(lit, lit.run(20)) <= 3


@pytest.mark.parametrize(("effect", "params"), [("Pulse", (200, 50, 0)), ("Welding", (10000, 200, 100))])
def test_a_lamp_of_a_square_law_without_a_trim(effect, params):
    lit = lamp("dim16", effect, params, level=0.95)
    assert worst(lit, lit.run(60)) <= 3


def test_looks_that_are_stepped_by_hand_beside_welding():
    """A step each 0.8 s is 1.25 changes a second; the effect has what is left."""
    lit = lamp("dim16", "Welding", (10000, 200, 100), level=0.3)
    frames = []
    for n in range(60):
        lit.stage.dial("Lamp 1", level=0.9 if n % 2 else 0.1)
        frames += lit.run(0.8)
    assert worst(lit, frames) <= 3


@pytest.mark.parametrize("effect", ["Pulse", "Welding", "Lightning"])
def test_a_blackout_and_back_beside_an_effect(effect):
    lit = lamp("dim16", effect, {"Pulse": (200, 50, 0), "Welding": (10000, 200, 100), "Lightning": (40, 8, 60)}[effect],
               level=0.9)
    frames = lit.run(2)
    for _ in range(20):
        lit.stage.blackout = True
        frames += lit.run(0.4)
        lit.stage.blackout = False
        frames += lit.run(1.6)
    assert worst(lit, frames) <= 3


def test_what_a_hand_does_goes_on_the_line_at_once():
    """However often, under the strongest effect: the look's own light is never held back."""
    lit = lamp("dim16", "Welding", (10000, 200, 100), level=0.5)
    lit.run(3)
    for n in range(20):
        lit.stage.blackout = n % 2 == 0
        (frame,) = lit.run(0.02)
        if n % 2 == 0:
            assert frame[:2] == b"\0\0"
        else:
            assert frame[0] >= 127  # welding adds to the look
    assert lit.effects.rate() > 6


def test_dialling_is_not_held_back():
    lit = lamp("dim16", "Pulse", (200, 50, 0), level=0.2)
    lit.run(3)
    for n in range(100):
        level = 0.2 + 0.006 * n
        lit.stage.dial("Lamp 1", level=level)
        (frame,) = lit.run(0.02)
        assert (frame[0] << 8 | frame[1]) / 65535 <= level + 0.001


@pytest.mark.parametrize("kind", ["dim16", "rgbw16"])
def test_a_running_order_that_follows_on_beside_a_pulse(kind):
    mixture = Mixture(5, True, (kind,))
    mixture.lit.start("Pulse", 200, 50, 0)
    assert mixture.worst(mixture.run(60))[0] <= 3


def test_the_order_still_goes_on_beside_effects():
    """It waits for room under the limit, and gets it: five steps in ten seconds at the least."""
    mixture = Mixture(5, True, ("dim16", "dim16"))
    mixture.lit.start("Welding", 10000, 200, 100)
    steps = set()
    begun = []
    mixture.run(20, lambda n: begun.append(mixture.player._began))
    steps.update(begun)
    assert len(steps) >= 10


def test_colours_of_a_lamp_with_hue_and_saturation_are_counted():
    """Blue has 0.07 of the luminance of white (IEC 61966-2-1): eight changes between them are four flashes, though the
    dimmer stays where it is."""
    lit = Lit("full16")
    lit.start("Pulse", 4000, 50, 0, depth=0)
    lit.stage.dial("Lamp 1", level=1, hue=240, sat=0, mix=1)
    lit.run(3)
    for n in range(8):
        lit.stage.dial("Lamp 1", sat=0 if n % 2 else 1)
        lit.run(0.12)
    assert lit.effects.rate() >= 7


def test_the_sum_of_lamps_is_held_too():
    """Two lamps under two kinds of welding and an order with fades: the sum went 3.5 times by the S."""
    mixture = Mixture(1019)
    assert mixture.worst(mixture.run(100))[0] <= 3


def test_a_red_that_swings_by_a_little_more_than_is_allowed_is_held():
    """An order that fades beside two effects on a red lamp: its R - G - B x 320 swung by 20.5, 3.5 times a second; the
    limiter took that for 19.6."""
    mixture = Mixture(1022)
    assert mixture.worst(mixture.run(168))[0] <= 3


# --- every mixture ---


@pytest.mark.parametrize("seed", range(200 if LONG else 10))
def test_mixtures(seed):
    """Ten minutes of mixtures (LONG=1: each of them ten minutes) of effects, looks, a running order and curves."""
    mixture = Mixture(1000 + seed)
    frames = mixture.run(600 if LONG else 60)
    most, *where = mixture.worst(frames)
    assert most <= 3, where


def test_without_the_limit_mixtures_are_over_three():
    """The walk can fail."""
    found = []
    for seed in range(6):
        mixture = Mixture(1000 + seed)
        mixture.lit.effects.keep_limit(False)
        found.append(mixture.worst(mixture.run(20))[0])
    assert max(found) > 5
