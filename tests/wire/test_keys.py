"""hal/board_parts.py and hal/esp32/knob.py on stand-ins for pins, ticks and counter."""

import sys
import types

import pytest

TICKS = 1 << 30  # MicroPython's ticks_ms wraps here


@pytest.fixture
def now(monkeypatch):
    import hal.board_parts

    time = types.SimpleNamespace(ms=0)
    time.ticks_ms = lambda: time.ms % TICKS
    time.ticks_diff = lambda a, b: (a - b + TICKS // 2) % TICKS - TICKS // 2
    monkeypatch.setattr(hal.board_parts, "time", time)
    return time


def test_clock_does_not_wrap(now):
    from hal.board_parts import Clock

    now.ms = TICKS - 500
    clock = Clock()
    assert clock.ms() == 0
    now.ms += 1000
    assert clock.ms() == 1000
    for _ in range(5):
        now.ms += TICKS // 2 - 1
        clock.ms()
    assert clock.ms() == 1000 + 5 * (TICKS // 2 - 1)
    clock.back(5 * (TICKS // 2 - 1))
    now.ms += 7
    assert clock.ms() == 1007


def keys(now, levels):
    from hal.board_parts import Keys

    now.ms = 1000
    made = Keys(("push", "back"), [lambda: levels[0], lambda: levels[1]])
    now.ms += 50
    return made


def test_a_press_counts_at_once_and_bounce_does_not(now):
    levels = [1, 1]
    made = keys(now, levels)
    assert made.down() == 0
    presses, was = 0, 0
    for level in (0, 1, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0):
        levels[0] = level
        down = made.down()
        presses += down == 1 and was == 0
        was = down
        now.ms += 1
    assert (presses, was) == (1, 1)
    levels[0] = 1
    assert made.down() == 0


@pytest.mark.parametrize("hours", [149, 150, 200, 299, 300, 1000])
def test_a_key_that_nobody_touched_for_days(now, hours):
    """ticks_diff is wrong from 149.1 hours on, and right again after twice as long (MicroPython: time.ticks_diff)."""
    levels = [1, 1]
    made = keys(now, levels)
    for _ in range(hours):
        now.ms += 3_600_000
        assert made.down() == 0
    for level in (0, 1, 0):
        levels[0] = level
        assert made.down() == 1 - level
        now.ms += 30


@pytest.mark.parametrize("power", [28, 29, 30, 31, 32])
def test_bounce_where_ticks_wrap(now, power):
    levels = [1, 1]
    made = keys(now, levels)
    made.down()
    for now.ms in range((1 << power) - 10, (1 << power) + 10):
        levels[0] = now.ms & 1
        assert made.down() == 1
    now.ms += 20
    levels[0] = 1
    assert made.down() == 0


def test_keys_are_bits_in_order(now):
    levels = [1, 0]
    made = keys(now, levels)
    assert made.down() == 1 << made.names.index("back")
    levels[0] = 0
    assert made.down() == 3


def test_a_press_as_long_as_a_hand_is_quick(now):
    levels = [1, 1]
    made = keys(now, levels)
    for level, ms in ((0, 40), (1, 40), (0, 40), (1, 40)):
        levels[0] = level
        assert made.down() == (0 if level else 1)
        now.ms += ms


class Loose:
    """A key's pin whose level moves while nobody looks, as an interrupt tells of it."""

    def __init__(self, now):
        from hal.board_parts import Keys

        self.level, self.now = 1, now
        now.ms = 1000
        self.keys = Keys(("push",), [self])
        now.ms += 50
        self.keys.down()

    def __call__(self):
        return self.level

    def move(self, *levels):
        """Each 1 ms after the last."""
        for level in levels:
            if level < self.level:
                self.keys.fell(self)
            self.level = level
            self.now.ms += 1

    def seen(self, ms):
        """What down() returns, each ms."""
        said = []
        for _ in range(ms):
            said.append(self.keys.down())
            self.now.ms += 1
        return said


_BOUNCE = (0, 1, 0, 1, 0)  # of a contact that closes; one that opens does it the other way round


def test_a_tap_while_the_processor_was_busy_is_one_press(now):
    pin = Loose(now)
    for _ in range(3):
        pin.move(*_BOUNCE)
        now.ms += 80
        pin.move(1, 0, 1, 0, 1)
        now.ms += 300
        said = pin.seen(60)
        assert said[0] == 1 and said[-1] == 0
        assert [a for a, b in zip(said, [*said[1:], None]) if a != b] == [1, 0], "one press, one release"


def test_what_bounces_after_a_release_is_no_press(now):
    pin = Loose(now)
    pin.move(*_BOUNCE)
    assert set(pin.seen(100)) == {1}
    pin.move(1, 0, 1, 0, 1)
    assert set(pin.seen(100)) == {0}
    pin.move(*_BOUNCE)
    assert set(pin.seen(100)) == {1}
    pin.level = 1
    assert pin.seen(1) == [0], "a release counts at once"
    pin.move(0, 1, 0, 1)
    assert set(pin.seen(100)) == {0}


@pytest.mark.parametrize("quarters, wanted", [
    ([0, 1, 2, 3, 4], 1), ([0, -1, -2, -3, -4], -1), ([0, 2, 1, 2, 1, 0], 0), ([0, 2, 3, 4, 3, 4, 8, 12], 3),
    ([0, 40, 36, 0], 0), ([-2, 2, -2, 2, 0], 0)])
def test_esp32_knob(monkeypatch, quarters, wanted):
    counter = types.SimpleNamespace(now=0)
    counter.value = lambda: counter.now
    machine = types.SimpleNamespace(Encoder=lambda *a, **k: counter, Pin=_pin())
    monkeypatch.setitem(sys.modules, "machine", machine)
    monkeypatch.delitem(sys.modules, "hal.esp32.knob", raising=False)
    from hal.esp32.knob import Knob

    knob, total = Knob(0, 1, 2), 0
    for counter.now in quarters:
        total += knob.turns()
    assert total == wanted
    monkeypatch.delitem(sys.modules, "hal.esp32.knob")


def _pin():
    class Pin:
        IN, PULL_UP = 0, 1

        def __init__(self, *_arguments):
            pass

    return Pin
