"""Knob and keys -> gestures: taps, holds, push-and-turn, and an acceleration that never loses the fine step."""

import pytest

from firmware.show import device_settings
from firmware.ui.frame.gestures import BACK, BLACK, HOLD_MS, PUSH, Gestures
from sim.hands import Keys, Knob


class Hand:
    """Gestures on a virtual clock."""

    def __init__(self, **kit):
        self.knob, self.keys = Knob(), Keys()
        self.g = Gestures(self.knob, self.keys, device_settings.defaults() | kit)
        self.now = 1000

    def poll(self, ms=4):
        self.now += ms
        return self.g.poll(self.now)

    def turn(self, detents, every_ms):
        """Detents one after another -> [(steps, pace)] of each."""
        seen = []
        for _ in range(abs(detents)):
            self.knob.move(1 if detents > 0 else -1)
            self.poll(every_ms)
            seen.append((self.g.turned, self.g.pace))
        return seen


def test_a_tap_comes_when_the_key_comes_up_and_a_hold_while_it_is_down():
    h = Hand()
    h.keys.set("back", True)
    assert not h.poll()
    h.keys.set("back", False)
    assert h.poll(100) and h.g.tapped == 1 << BACK
    h.keys.set("back", True)
    h.poll()
    assert not h.poll(HOLD_MS - 10)
    assert h.poll(20) and h.g.held == 1 << BACK
    assert not h.poll(500) and not h.g.held  # once
    h.keys.set("back", False)
    assert h.poll() and h.g.released == 1 << BACK and not h.g.tapped


def test_turning_while_pushed_is_neither_tap_nor_hold():
    h = Hand()
    h.keys.set("push", True)
    h.poll()
    h.knob.move(2)
    h.poll()
    assert (h.g.push_turned, h.g.turned) == (2, 0)
    h.poll(HOLD_MS + 100)
    assert not h.g.held >> PUSH & 1
    h.keys.set("push", False)
    h.poll()
    assert not h.g.tapped >> PUSH & 1


def test_what_is_swallowed_has_no_effect():
    h = Hand()
    h.keys.set("black", True)
    h.poll()
    h.g.swallow()
    h.poll(HOLD_MS + 50)
    assert not h.g.held
    h.keys.set("black", False)
    h.poll()
    assert not h.g.tapped >> BLACK & 1


@pytest.mark.parametrize("quick", [0, 1, 2])
@pytest.mark.parametrize("every_ms", [34, 50, 80, 250, 2000])
def test_slow_turning_gives_single_fine_steps_whatever_the_setting(quick, every_ms):
    """Common practice, no source: a hand that looks for a value turns under 30 detents a second."""
    for way in (1, -1):
        assert Hand(quick=quick).turn(way * 40, every_ms) == [(way, 1)] * 40


def test_fast_turning_grows_and_falls_back_at_once():
    h = Hand()
    fast = [pace for _steps, pace in h.turn(20, 10)]
    assert fast[:2] == [1, 1] and fast[-1] == 4 and fast == sorted(fast)
    assert [pace for _steps, pace in h.turn(3, 50)] == [1, 1, 1]  # slower: fine again, from the first detent
    h.turn(20, 10)
    assert [pace for _steps, pace in h.turn(-2, 10)] == [1, 1]  # back: fine again
    assert max(pace for _steps, pace in Hand(quick=0).turn(30, 5)) == 1
    assert max(pace for _steps, pace in Hand(quick=2).turn(30, 5)) == 8


def test_detents_that_come_in_one_poll_are_taken_as_spread_over_the_time_since_the_last():
    h = Hand()
    h.turn(1, 500)
    h.knob.move(5)
    h.poll(400)
    assert (h.g.turned, h.g.pace) == (5, 1)


def test_direction_and_detents_a_step():
    assert [s for s, _ in Hand(turn=-1).turn(3, 50)] == [-1, -1, -1]
    for every_ms in (20, 300):
        assert [s for s, _ in Hand(per=2).turn(6, every_ms)] == [0, 1, 0, 1, 0, 1]
    assert sum(s for s, _ in Hand(per=2).turn(-6, 30)) == -3


def test_the_foot_switch_acts_when_it_goes_down():
    h = Hand()
    h.keys.set("foot", True)
    assert h.poll() and h.g.foot
    assert not h.poll(100) and not h.g.foot
    h.keys.set("foot", False)
    assert not h.poll(100) and not h.g.foot and not h.g.tapped
