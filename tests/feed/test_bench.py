"""The whole device with a desk at its input: packets in, packets out."""

import pytest

from sim import Bench
from sim.play import STEP_MS


class Desk:
    """Sends packets into a Bench at an even rate. slots: what it sends, None: silence."""

    def __init__(self, bench, period_us=22_716):
        self.bench, self.period_us, self.slots = bench, period_us, None
        self._next = bench.clock.us()

    def run(self, seconds):
        for _ in range(round(seconds * 1000 / STEP_MS)):
            now = self.bench.clock.us() + STEP_MS * 1000
            while self._next <= now:
                if self.slots is not None:
                    self.bench.input.receive(self.slots, us=self._next)
                self._next += self.period_us
            self.bench.step()


@pytest.fixture
def device():
    with Bench() as b:
        b.run(0.2)
        yield b, Desk(b)


def test_a_desk_goes_through_to_the_line(device):
    b, desk = device
    desk.slots = bytes((3 * n) & 255 for n in range(512))
    desk.run(3)
    assert b.frame[200:] == desk.slots[200:]  # the demo's lamps lie below
    assert b.app.feed.state and b.app.feed.hz10 == pytest.approx(440, abs=5)


def test_no_frame_is_torn(device):
    """Each packet of the desk has one value in all slots of nobody: so has each packet that goes out."""
    b, desk = device
    desk.slots = bytes(512)
    desk.run(3)
    seen = set()
    for n in range(120):
        desk.slots = bytes([2 * n] * 512)
        desk.run(0.023)
        for _us, slots in b.line.packets[-3:]:
            assert len(set(slots[200:])) == 1
            seen.add(slots[200])
    assert len(seen) > 100


def test_loss_is_said_and_the_light_stays(device):
    b, desk = device
    desk.slots = bytes([123] * 512)
    desk.run(3)
    desk.slots = None
    desk.run(1.5)
    assert b.lines[-1] == "Feed lost: its last frame is held"
    assert set(b.frame[200:]) == {123}
    desk.slots = bytes([123] * 512)
    desk.run(0.2)
    assert b.lines[-1] == "The feed is back"


def test_another_show_keeps_the_feed_going(device):
    b, desk = device
    desk.slots = bytes([50] * 512)
    desk.run(3)
    b.app.open_show(b.app.shelf.new("Other"))
    desk.run(0.5)
    assert set(b.frame[200:]) == {50}


def test_a_board_with_one_port_is_left_alone():
    with Bench(board="pico_oled") as b:
        b.input.receive(bytes(512))
        b.run(0.5)
        assert b.app.feed is None and b.app.input is None
