"""What stands on the screen is what the stage says now, after each gesture of a monkey, on both panels.

A level is in stops under full, a factor of two in light each (the photometric definition), in tenths.
"""

import math

import pytest

from firmware.show import rig_edit
from firmware.show.fixture_light import LEVEL
from firmware.ui.frame import canvas as fonts
from tests.ui import walker

STEPS = 400  # of the app, in which a picture is drawn to its end, however busy


class Clock:
    """A clock that stands: the screen draws a picture to its end in a step."""

    def ms(self):
        return -(1 << 30)


def texts(w):
    """{(x, y): text} of what the canvas shows: the strokes that nothing hides."""
    c, out = w.app.canvas, {}
    data = c._strokes
    for n in range(c._count):
        place, size, what = data[4 * n], data[4 * n + 1], data[4 * n + 2]
        if size and what & 3 == 2:
            x, y = (place >> 12) - 1024, (place & 4095) - 1024
            out[x, y, what >> 6 & 3] = c._texts[n][:what >> 8]
    return out


def drawn(w):
    """Let all be drawn that a gesture asked for, without the picture that is drawn when the knob rests."""
    screen = w.app.screen
    for _ in range(STEPS):
        if screen._drawing is None and screen._sent and not screen._draw_all and not screen._draw_turned:
            return
        w._step(5)
    raise AssertionError("it is never done drawing")


def level_words(share):
    stops = -math.log2(share) if share else 0
    return "out" if not share else "full" if stops < 0.005 else f"−{max(0.1, stops):.1f}"


def rows(w):
    """The lamps in sight of the page Light, as [(name, level)] by the stage; their row's texts are on the screen."""
    page, c = w.app.page, w.app.canvas
    found = texts(w)
    _fit, first = page._view(c, c.head, c.height - c.foot)
    for k in range(first, min(first + _fit, len(page.items))):
        item = page.items[k]
        if isinstance(item, str):
            continue
        top = c.head + (k - first) * c.row
        line = [text for (_x, y, font), text in found.items() if top <= y < top + c.row and font != fonts.BIG]
        words = level_words(w.app.stage.light(item)[LEVEL] / 65536)
        big = [text for (_x, _y, font), text in found.items() if font == fonts.BIG]
        shown = words in line or k == page.at and page.what == "level" and words.upper() in big
        assert shown, (item.name, words, found, w.done[-3:])


def compare(w):
    """What is on the screen is what a whole new picture has."""
    old = texts(w)
    w.app.screen.touch(True)
    w.app.screen._draw_turned = False
    drawn(w)
    new = texts(w)
    assert old == new, (set(old.items()) ^ set(new.items()), w.module(), w.done[-3:])


@pytest.mark.parametrize("panel", walker.SIZES)
def test_nothing_on_the_screen_is_stale(panel):
    with walker.loaded.as_after_boot() as known, walker.quick():
        w = walker.Walker(panel, 11, known)
        w.app.screen._clock = Clock()
        w.app.stage.go("Evening", 0)
        seen = dialled = 0
        for n in range(450):
            if n % 6 == 0 and not w.app.locked:  # Light is what is dialled all day
                w.app.open("light")
            w.random()
            w.app.settings["level"] = 0
            if w.app.locked:
                w.gesture("hold back")
            drawn(w)
            if w.app.stage.left():
                w._step(9000)
                drawn(w)
            if w.app.stage.left() or w.app.player and w.app.player.left() or w.app.page.live:
                continue  # it moves by itself
            if w.module().endswith("light.light"):
                rows(w)
                seen += 1
                dialled += w.done[-1][0] == "turn"
            compare(w)
    assert seen > 100 and dialled > 40


@pytest.mark.parametrize("panel", walker.SIZES)
def test_one_lamp_and_all_lamps_chosen(panel):
    """The row of the one lamp that there is follows the knob at once."""
    w = walker.Walker(panel, 1)
    w.app.screen._clock = Clock()
    while len(w.app.show.rig) > 1:
        rig_edit.remove(w.app.show.rig, w.app.show.rig.fixtures[-1])
    lamp = w.app.show.rig.fixtures[0]
    w.app.stage.dial(lamp, level=0)
    w.app.open("light")
    w.gesture("push_turn", -3)
    drawn(w)
    for _ in range(5):
        w.gesture("turn", 7)
        drawn(w)
        assert w.app.page.item() == "All lamps" and w.app.stage.level_of(lamp)
        if panel == "tft":
            rows(w)
        compare(w)


@pytest.mark.parametrize("panel", walker.SIZES)
def test_a_list_that_became_shorter_is_drawn_after_a_turn(panel):
    """As the senders on a network do, who go away while the cursor is on the last of them."""
    w = walker.Walker(panel, 1)
    w.app.open("rig")
    page = w.app.page
    page.items = list(page.items)
    page.at = len(page.items) - 1
    w.app.screen.touch(True)
    w.settle()
    page._drawn_at, page.items = page.at, page.items[:-1]
    first = page._drawn_first
    for _slice in page._redraw(w.app.canvas, w.app.canvas.head, 200, 200, first):
        pass
    assert page.item() is page.items[-1]
