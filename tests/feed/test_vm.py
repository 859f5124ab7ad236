"""The feed on the real MicroPython VM: the native twin, no allocation in the tick, loaded only when it is needed."""

import sys

from sim import Bench
from tests.vm import runner

_PARTS = ("firmware.stage.feed", "firmware.stage.merge", "firmware.stage.raw", "firmware.show.readback",
          "firmware.show.intake")


def test_native_and_plain_are_equal_on_the_vm():
    assert runner.run("tests/vm/merge_twins.py", runner.ROOT).strip() == "equal 200"


def test_the_merge_never_allocates():
    """40 lamps, every third by the latest move, a packet with every slot new at each step."""
    assert "locked 300" in runner.run("tests/vm/feed_tick.py", runner.ROOT, heap="1m")


def test_nothing_is_loaded_until_a_feed_comes_in():
    for name in _PARTS:
        sys.modules.pop(name, None)
    with Bench() as b:
        b.run(1)
        assert not [name for name in _PARTS if name in sys.modules]
        b.input.receive(bytes(512))
        b.run(0.1)
        assert "firmware.stage.feed" in sys.modules and "firmware.show.readback" not in sys.modules
