"""Storing over a look can be taken back, three stores deep: light, raw slots and fade time come back in turn."""

import pytest

from sim import Bench
from tests.ui.hand import pick, right, to
from tests.ui.test_edits import dial, undo

LOOK = "Moonlight"


@pytest.fixture
def b():
    with Bench() as bench:
        lights, _ms = bench.app.show.looks.recall(LOOK)
        lights[0] = [[400, 7, 8], [500, 255]]  # slots of nobody, as of a grabbed feed
        bench.app.show.looks.store(LOOK, lights, 8000)
        bench.app.stage.go("Evening", 0)
        bench.run(0.4)
        yield bench


def look_page(b):
    b.app.open("looks")
    to(b, LOOK)
    b.hold("push")


def store_here(b, level):
    """Dial one lamp, and store what is on in the look."""
    b.app.stage.dial("Key", level=level)
    look_page(b)
    pick(b, "Store light here")


def kept(b):
    """({uid: light}, fade time) as it lies on flash."""
    return b.app.show.looks.recall(LOOK)


def by_pages(b):
    undo(b)


def by_the_app(b):
    b.app.undo_last()


@pytest.mark.parametrize("back", [by_pages, by_the_app])
def test_three_stores_come_back_in_turn(b, back):
    states = [kept(b)]
    for level in (0.2, 0.5, 0.9):
        store_here(b, level)
        states.append(kept(b))
    assert [lights[1][0] for lights, _ms in states[1:]] == [round(x * 65536) for x in (0.2, 0.5, 0.9)]
    assert 0 in states[0][0] and states[0][1] == 8000 and not any(0 in lights for lights, _ms in states[1:])
    for was in reversed(states[:-1]):
        back(b)
        assert kept(b) == was
    assert not b.app.undo


@pytest.mark.parametrize("back", [by_pages, by_the_app])
def test_after_storing_the_same_light_undo_gives_that_light(b, back):
    first = kept(b)
    store_here(b, 0.2)
    stored = kept(b)
    store_here(b, 0.2)  # nothing changes, so nothing is written
    assert kept(b) == stored
    back(b)
    assert kept(b) == stored
    back(b)
    assert kept(b) == first


@pytest.mark.parametrize("back", [by_pages, by_the_app])
def test_a_change_of_fade_time_after_the_store_takes_nothing_away(b, back):
    first = kept(b)
    store_here(b, 0.2)
    stored = kept(b)
    look_page(b)
    dial(b, "Fade time", 3)
    assert right(b, "Fade time") == "9.5 s" and kept(b) == (stored[0], stored[1] + 1500)
    back(b)
    assert kept(b) == stored
    back(b)
    assert kept(b) == first


def test_what_came_back_is_kept_over_a_power_cut(b):
    first = kept(b)
    store_here(b, 0.2)
    store_here(b, 0.9)
    undo(b)
    undo(b)
    b.cut_power()
    b.boot()
    b.run(0.4)
    assert kept(b) == first
