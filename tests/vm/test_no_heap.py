"""What runs every tick, at every detent and in every band sent must not allocate: a collection would stall it."""

from tests.vm import runner


def test_tick_knob_and_flush_run_with_the_heap_locked():
    assert runner.run("tests/vm/no_heap.py", runner.ROOT, heap="1m").strip() == "ok"
