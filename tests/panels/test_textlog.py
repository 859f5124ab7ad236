"""The text on the screen, as the simulator's Bench reads it."""

import pytest

from firmware.ui.frame import theme
from firmware.ui.frame.canvas import BIG, BODY, RIGHT, SMALL, Canvas
from sim import panels
from sim.panels.textlog import TextLog


@pytest.fixture
def drawn():
    canvas = Canvas(panels.make("st7789")[0])
    return canvas, TextLog(canvas)


def test_top_to_bottom_and_left_to_right(drawn):
    canvas, log = drawn
    canvas.text("5600 K", 200, 40, BODY, theme.TEXT)
    canvas.text("Key", 4, 42, SMALL, theme.TEXT)
    canvas.text("Light", 4, 0, SMALL, theme.DIM)
    canvas.text("−1⅓", 4, 100, BIG, theme.HOT)
    assert log.lines() == ["Light", "Key 5600 K", "−1⅓"]


def test_painting_over_takes_text_away(drawn):
    canvas, log = drawn
    canvas.text("Background", 0, 0, BODY, theme.TEXT)
    canvas.text("Key", 0, 30, BODY, theme.TEXT)
    canvas.text("Fill", 0, 30, BODY, theme.TEXT, theme.PAPER, 100)
    assert log.lines() == ["Background", "Fill"]
    canvas.box(canvas.measure("Back", BODY), 0, 200, 20, theme.PAPER)
    assert log.lines() == ["Back", "Fill"]
    canvas.fill(theme.PAPER)
    assert log.lines() == []


def test_only_what_can_be_read_is_told(drawn):
    canvas, log = drawn
    canvas.text("Practical by the window", 0, 0, BODY, theme.TEXT, None, 100)
    canvas.text("42", 319, 0, BODY, theme.TEXT, None, None, RIGHT)
    (line,) = log.lines()
    assert line.startswith("Practic") and line.endswith("… 42") and "window" not in line


def test_the_picture_is_the_same_with_and_without(drawn):
    canvas, log = drawn
    plain = Canvas(panels.make("st7789")[0])
    for one in (canvas, plain):
        one.fill(theme.PAPER)
        one.text("Kicker", 10, 10, BIG, theme.HOT, theme.PANEL, 200)
        one.bar(0, 60, 100, 8, 30000, theme.HOT, theme.LOW)


def test_what_falls_off_the_panel_is_told_apart(drawn):
    canvas, log = drawn
    canvas.text("Key 3200 K", 270, 10, BODY, theme.TEXT, None, 200)
    canvas.text("below", 0, 228, BODY, theme.TEXT)
    canvas.text("fits", 0, 100, BODY, theme.TEXT)
    assert log.lines() == ["Key 3", "fits"]
    assert log.outside() == [("Key 3200 K", 270, 10), ("below", 0, 228)]
