"""The feed on the real MicroPython VM: the native twin, no allocation in the tick, loaded only when it is needed."""

import sys

from sim import Bench, feeds
from sim.session import OnPython, Session
from sim.vm_session import OnVm
from tests import loaded
from tests.vm import runner

_PARTS = ("firmware.stage.feed", "firmware.stage.feed_loops", "firmware.stage.raw_slots", "firmware.show.resolve_back",
          "firmware.show.feed_settings")


def test_native_and_plain_are_equal_on_the_vm():
    assert runner.run("tests/vm/feed_loops_twins.py", runner.ROOT).strip() == "equal 200"


def test_the_merge_never_allocates():
    """40 lamps, every third by the latest move, a packet with every slot new at each step."""
    assert "locked 300" in runner.run("tests/vm/feed_tick.py", runner.ROOT, heap="1m")


def test_nothing_is_loaded_until_a_feed_comes_in():
    with loaded.as_after_boot(), Bench() as b:
        b.run(1)
        assert not [name for name in _PARTS if name in sys.modules]
        b.input.receive(bytes(512))
        b.run(0.1)
        assert "firmware.stage.feed" in sys.modules and "firmware.show.resolve_back" not in sys.modules


def test_the_vm_merges_records_and_plays_as_cpython_does():
    """The same desk into the same firmware on both: the same frames go out, live, recorded and played."""
    runner.unix()
    there, here = Session(OnVm("pico2_tft", "demo")), Session(OnPython("pico2_tft", "demo"))
    try:
        frames = [run(session) for session in (there, here)]
    finally:
        there.machine.close()
    assert there.machine.trouble == ""
    assert frames[0] == frames[1] and len(set(frames[0])) > 20
    app = here.machine.bench.app
    assert app.feed.player.number == 1 and app.page.title == "Capture 1", "the script went where it says"


def run(session):
    """Frames of an evening: a chase comes in and fades in; it is recorded by the pages and played."""
    session.play("steps", feeds.steps)
    out = []

    def steps(count):
        for _ in range(count // 25):
            session.step(25)
            out.append(bytes(session.machine.frame))

    def key(name, held=20):
        session.key(name, True)
        steps(max(25, held))
        session.key(name, False)
        steps(50)

    def turn(detents):
        for _ in range(detents):
            session.turn(1)
            steps(75)

    steps(600)
    key("back")
    turn(4)  # Feed
    key("push")
    turn(3)  # Captures
    key("push")
    key("push")  # record
    steps(300)
    key("push")
    steps(500)
    key("push")
    turn(1)
    key("push")  # play it
    steps(400)
    return out
