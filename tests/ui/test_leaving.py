"""Every page that is opened and left, and every one that refuses to open, takes all its code along."""

import pytest

from firmware.parts import once
from firmware.ui.frame.page import Page
from sim import Bench
from tests import loaded
from tests.bench.size import PAGES
from tests.ui.hand import module


@pytest.fixture
def b():
    with loaded.as_after_boot() as known, Bench() as bench:
        bench.known = known
        order = bench.app.machines.running_order().order
        order.fill(list(bench.app.show.looks.ids))
        bench.app.stage.look_number = 0  # else the running order goes on from there
        bench.app.open("effects")
        bench.app.stage.effects.add(once("firmware.show.effect_settings", "new", "Flame", [1]))
        del order
        bench.app.open("home")
        yield bench


def opening(b, page):
    """(name, argument ...) of a page of tests/bench/size.py. Its machine is there when the arguments are looked up."""
    for machine in ("effect", "run", "feed"):
        if page.startswith("'" + machine):
            b.app.open({"effect": "effects"}.get(machine, machine))
    return eval("(%s,)" % page, {"app": b.app, "f": b.app.show.rig.fixtures[3]})


def test_a_page_that_is_left_leaves_nothing(b):
    before = loaded.names()
    for page in PAGES:
        name, *args = opening(b, page)
        b.app.open(name, *args)
        b.run(0.1)
        assert b.app.page_name == name, (page, b.app.screen.message)
        assert loaded.strays() == [], page
        del args
        b.app.open("home")
        assert [loaded.names() ^ before, loaded.strays(), loaded.outlived(b.known, since=True)] == [set(), [], []], page


@pytest.mark.parametrize("error", [ValueError, MemoryError, OSError])
def test_a_page_that_refuses_half_way_leaves_nothing(b, monkeypatch, error):
    before = loaded.names()
    begin, refusing = Page.__init__, []

    def refuse(self, app):
        begin(self, app)
        if refusing:
            raise error(*refusing.pop())

    monkeypatch.setattr(Page, "__init__", refuse)
    for page in PAGES:
        if page == "'home'":
            continue
        wanted = opening(b, page)
        b.app.open("home")
        refusing.append((28, "Not today"))
        b.app.page.push = lambda wanted=wanted: b.app.open(*wanted)
        b.press()
        b.run(0.1)
        assert not refusing and module(b) == "home", page
        assert any("No memory left" if error is MemoryError else "Not today" in line for line in b.lines), b.lines
        del wanted
        assert [loaded.names() ^ before, loaded.strays(), loaded.outlived(b.known, since=True)] == [set(), [], []], page


def test_a_capture_that_ends_while_another_is_recorded_leaves_no_code_twice(b):
    """The recorder and the player share code, which the one that was there first brought in."""
    b.app.open("feed")
    once("firmware.ui.pages.feed.feed_control", "record", b.app)
    b.input.receive(bytes(512))
    b.run(0.5)
    b.input.receive(bytes([1] * 512))
    b.run(0.5)
    once("firmware.ui.pages.feed.feed_control", "stop_recording", b.app)
    once("firmware.ui.pages.feed.feed_control", "play", b.app, 1)
    once("firmware.ui.pages.feed.feed_control", "prepare_recording", b.app)
    once("firmware.ui.pages.feed.feed_control", "play", b.app, 0)
    assert loaded.strays() == []
    once("firmware.ui.pages.feed.feed_control", "stop_recording", b.app)
    b.app.open("home")
    b.run(2)
    b.app.open("light")
    assert not [name for name in loaded.names() if "capture" in name]
