"""MicroPython's table of names grows while the heap is whole, not in the middle of a day."""

from tests.vm import runner


def test_pages_later_on_want_no_large_piece_for_their_names():
    def largest(room):
        return int(runner.run("tests/vm/names.py", runner.ROOT, room, heap="240k"))

    assert largest("none") > 8000, "without it they would: MicroPython's py/qstr.c doubles its tables"
    assert largest("room") < 1000


def test_a_large_heap_is_left_alone():
    assert int(runner.run("tests/vm/names.py", runner.ROOT, "room", heap="2m")) > 8000
