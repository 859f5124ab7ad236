"""The whole device with a desk at its input: packets in, packets out."""

import pytest

from firmware.show import shelf_edit
from sim import Bench, feeds
from sim.play import STEP_MS
from sim.session import OnPython, Session


class Desk:
    """Sends packets into a Bench at an even rate. slots: what it sends, or a function of the packet's number; None:
    silence. log: [(µs, slots)] of what it sent."""

    def __init__(self, bench, period_us=22_716):
        self.bench, self.period_us, self.slots = bench, period_us, None
        self._next = bench.clock.us()
        self.log = []

    def run(self, seconds):
        for _ in range(round(seconds * 1000 / STEP_MS)):
            now = self.bench.clock.us() + STEP_MS * 1000
            while self._next <= now:
                if self.slots is not None:
                    slots = self.slots(len(self.log)) if callable(self.slots) else self.slots
                    self.bench.input.receive(slots, us=self._next)
                    self.log.append((self._next, slots))
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
    assert "Feed lost, its last frame stays" in " ".join(b.lines)
    assert set(b.frame[200:]) == {123}
    desk.slots = bytes([123] * 512)
    desk.run(0.2)
    assert b.lines[-1] == "The feed is back"


def test_another_show_keeps_the_feed_going(device):
    b, desk = device
    desk.slots = bytes([50] * 512)
    desk.run(3)
    b.app.open_show(shelf_edit.new(b.app.shelf, "Other"))
    desk.run(0.5)
    assert set(b.frame[200:]) == {50}


def test_a_board_with_one_port_is_left_alone():
    with Bench(board="pico_oled") as b:
        b.input.receive(bytes(512))
        b.run(0.5)
        assert b.app.feed is None and b.app.input is None


def test_the_show_says_whether_a_feed_is_taken_over(device):
    """With "on" kept as 0 the feed is left alone: nothing of it is loaded."""
    b, desk = device
    b.app.machines.take_feed()
    from firmware.show import feed_settings

    settings, _fault = feed_settings.load(b.app.show)
    assert settings == {"on": 1, "lost": 0, "lost_ms": 5000, "back_ms": 2000, "rules": {}}
    settings.update(on=0, rules={3: 1})
    feed_settings.save(b.app.show, settings)
    assert feed_settings.load(b.app.show) == (settings, None)
    b.cut_power()
    b.boot()
    desk.slots = bytes([9] * 512)
    desk.run(3)
    assert b.app.feed is None and set(b.frame[200:]) == {0}


def test_a_feed_that_never_came_is_forgotten(device):
    b, _desk = device
    b.app.machines.need("feed")
    b.app.machines.close_idle("")
    assert b.app.feed is None
    b.run(0.1)


def test_a_look_with_raw_slots_goes_out_and_fades(device):
    b, _desk = device
    show = b.app.show
    lights, _ms = show.looks.recall("Evening")
    show.looks.store("Grabbed", {**lights, 0: [[300, 200, 100], [512, 7]]})
    assert show.looks.recall("Grabbed")[0][0] == [[300, 200, 100], [512, 7]]
    b.app.stage.go("Grabbed", 2)
    b.run(1)
    assert 90 < b.frame[299] < 110 and b.app.stage.left() > 0
    b.run(1.2)
    assert (b.frame[299], b.frame[300], b.frame[511], b.frame[310]) == (200, 100, 7, 0)
    b.app.stage.go("Evening", 0)
    b.run(0.2)
    assert b.frame[299] == 200, "a look without raw slots leaves them as they are"
    show.rig.add("dim", "New", 300)
    b.run(0.2)
    assert b.frame[299] == 0 and b.frame[300] == 100, "a slot that got an owner is its owner's"
    b.app.stage.crossfade("Grabbed")
    b.app.stage.crossfade_at(1)
    b.run(0.2)
    assert b.frame[300] == 100


def test_without_memory_the_feed_is_left_alone_and_that_is_said(device, monkeypatch):
    """A small chip with a large show: no crash, no loading again with every packet."""
    b, desk = device
    tries = []

    def none_left(*_args):
        tries.append(1)
        raise MemoryError

    monkeypatch.setattr("firmware.stage.feed.Feed", none_left)
    desk.slots = bytes([9] * 512)
    desk.run(1)
    assert b.app.feed is None and len(tries) == 1
    assert b.lines[-1] == "The feed is left alone: no memory for it"
    monkeypatch.setattr("firmware.stage.feed.Feed", none_left)  # its module was dropped
    b.app.open("feed")
    desk.run(0.5)
    assert b.app.page.title == "Halfstop"


def test_a_restart_in_mid_feed_does_not_dip(device):
    """The watchdog bites: lamps that the desk holds stay as they are; the pocket alone would have them dark."""
    b, desk = device
    desk.slots = bytes([150] * 512)
    desk.run(3)
    for line in b.ports:
        line.restart()
    b.boot("watchdog")
    seen = []
    for _ in range(200):
        desk.run(0.02)
        seen.append(b.frame[300])
    assert min(seen) >= 145 and seen[-1] == 150


@pytest.mark.parametrize("name", [name for name in feeds.MADE if name])
def test_the_simulators_feeds_drive_it(name):
    """Each feed that the page can play comes in, by the same way as there."""
    session = Session(OnPython("pico2_tft", "demo"))
    session.play(name, feeds.MADE[name][1])
    session.step(500)
    feed = session.machine.bench.app.feed
    assert feed.state and feed.count == (24 if name == "short" else 512)
