"""What the screen says of lamps that a feed holds is what the line does, on both panels, and a push does something
about it.

A stop is a factor of two in light (the photometric definition). That a dimmer's slot of 255 is full, and light is in
line with it where no curve is set, is common practice; ANSI E1.11 does not say.
"""

import math

import pytest

from sim import Bench
from tests.feed.test_bench import Desk
from tests.feed.test_pages import choose, push, turn
from tests.ui.hand import lamp, module

BOARDS = ("pico2_tft", "pico_oled")


@pytest.fixture(params=BOARDS)
def fed(request):
    """(bench, desk): two dimmers at 1 and 2, both one stop under full, on the page Light; the feed is dark."""
    with Bench(board=request.param, show=None) as b:
        for name in ("Lamp", "Other"):
            b.app.stage.dial(b.app.show.rig.add("dim", name), level=0.5)
        b.app.show.save_rig()
        b.app.open("light")
        desk = Desk(b)
        if b.app.input is None:  # a board with one port: what it would send is the feed's frame
            b.app.open("feed")
            choose(b, desk, "The port")
            push(b, desk)
        desk.slots = bytes(512)
        desk.run(0.5)
        b.app.open("light")
        lamp(b, "Lamp")
        desk.run(6)  # it has faded in, and the messages are gone
        yield b, desk


def wire(b):
    """The slots that go out, or would."""
    return bytes(b.app.feed.frame)


def said(b, desk, seconds=0.4):
    desk.run(seconds)
    return " | ".join(b.lines)


def stops(slot):
    return f"−{-math.log2(slot / 255):.1f}"


def test_the_row_says_feed_with_the_level_of_the_line(fed):
    b, desk = fed
    assert "feed" in b.lines[0]  # by itself, without a push
    assert "feed" not in said(b, desk).replace(b.lines[0], "")
    for slot in (255, 128, 200):  # all above the pocket's own: the brighter one holds the lamp
        desk.slots = bytes([slot, 0]) + bytes(510)
        desk.run(0.4)
        row = next(line for line in b.lines if line.startswith("Lamp"))
        assert row.endswith("feed"), b.lines
        shown = " ".join(b.lines)
        assert wire(b)[0] == slot and ("full" in shown.lower() if slot == 255 else stops(slot) in shown), b.lines
        assert "own −1.0" in shown or slot == 128
    desk.slots = bytes(512)
    assert "Lamp" in said(b, desk) and "Lamp −1.0 feed" not in said(b, desk)
    assert not any(line.endswith("feed") for line in b.lines[1:]), b.lines


def test_a_turn_that_can_do_nothing_offers_the_lamp_in_one_push(fed):
    b, desk = fed
    desk.slots = bytes([200, 0]) + bytes(510)
    desk.run(1)
    turn(b, desk, -2)
    assert wire(b)[0] == 200 and "Push: take over" in said(b, desk), b.lines
    push(b, desk)
    desk.run(5)
    assert wire(b)[:2] == bytes([200, 128]), "it stays as it was on the line"
    assert "feed" not in " ".join(b.lines[1:]) and module(b) == "light" and b.app.page.what == "level"
    turn(b, desk, -10)
    desk.run(1)
    assert wire(b)[0] == round(255 * 2 ** -1.3), "from −0.35 stops over the marks −0.4 ... −1.3"
    b.app.undo_last()  # the dialling
    b.app.undo_last()
    desk.run(3)
    assert wire(b)[0] == 200 and any(line.startswith("Lamp") and line.endswith("feed") for line in b.lines)


def test_what_a_turn_can_do_is_not_refused(fed):
    b, desk = fed
    desk.slots = bytes([130, 0]) + bytes(510)
    desk.run(1)
    turn(b, desk, 3)
    assert wire(b)[0] > 130 and "Push" not in said(b, desk)


def test_a_push_that_was_on_its_way_is_the_page_s(fed):
    b, desk = fed
    desk.slots = bytes([200, 0]) + bytes(510)
    desk.run(1)
    b.board.knob.move(-1)
    desk.run(0.1)
    b.key_down("push")
    desk.run(0.1)
    b.key_up("push")
    desk.run(0.2)
    assert b.app.feed.rule(b.app.show.rig.fixtures[0]) == 0


def test_black_says_that_the_feed_keeps_lamps_lit(fed):
    b, desk = fed
    push(b, desk, "black")
    desk.run(1)
    assert b.lines[0].endswith("BLACK") and not any(wire(b))
    desk.slots = bytes([0, 7]) + bytes(510)
    desk.run(1)
    assert b.lines[0].endswith("BLACK feed lit") and wire(b)[1] == 7
    desk.slots = bytes(511) + b"\1"  # a lamp that is in nobody's rig
    desk.run(1)
    assert b.lines[0].endswith("BLACK feed lit")
    desk.slots = bytes(512)
    desk.run(1)
    assert b.lines[0].endswith("BLACK")


def test_when_the_feed_is_lost_a_push_brings_the_own_light(fed):
    b, desk = fed
    desk.slots = bytes([255, 200]) + bytes(510)
    desk.run(3)
    desk.slots = None
    desk.run(2)
    assert wire(b)[:2] == b"\xff\xc8" and "Push: own light" in said(b, desk), b.lines
    push(b, desk)
    desk.run(4)
    assert wire(b)[:2] == b"\x80\x80", "half of 255"
    assert not any(line.endswith(" feed") for line in b.lines), b.lines
    desk.slots = bytes([255, 200]) + bytes(510)
    desk.run(4)
    assert wire(b)[:2] == b"\xff\xc8", "and the feed has them again when it is back"


def test_later_a_turn_offers_it_again(fed):
    b, desk = fed
    desk.slots = bytes([255, 200]) + bytes(510)
    desk.run(3)
    desk.slots = None
    desk.run(12)
    assert "Push" not in said(b, desk)
    turn(b, desk, -1)
    assert "own light" in said(b, desk), b.lines
    push(b, desk)
    desk.run(4)
    assert wire(b)[:2] == bytes([119, 128]), "the turn's own light is on now: 255 / 2 ** 1.1"
