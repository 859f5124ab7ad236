"""Every page on both panels as kept; and what can be told without an eye: no text on another, no stale pixels."""

import itertools
from collections import Counter

import pytest

from firmware.show.personality_builtin import personality
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import page_draw
from sim import demo
from tests import cut, signs
from tests.screens import check
from tests.screens.scenes import PANELS, SCENES, drawn
from tests.ui.hand import ended

# What the lamps on the line say of themselves.
GIVEN = [name for _n, model, kinds, _m, _a, label, _f in demo.ON_THE_LINE
         for name in (model, label, *(personality(kind).name for kind in kinds))]


def overlaps(runs):
    """Pairs of texts of which one stands on the other. runs: (x, y, height, text) with widths."""
    for (x1, y1, w1, h1, a), (x2, y2, w2, h2, b) in itertools.combinations(runs, 2):
        if x1 < x2 + w2 and x2 < x1 + w1 and y1 < y2 + h2 - 2 and y2 < y1 + h1 - 2:  # lines may touch
            yield a, b


def marks(b):
    """The characters on the screen: (x, y, width, height, character)."""
    return [tuple(mark[:5]) for mark in b._text.marks() if mark[4].strip()]


def luminance(rgb):
    """Relative luminance, as WCAG 2.x defines it."""
    r, g, b = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in (c / 255 for c in rgb))
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one, two):
    """Contrast ratio, as WCAG 2.x defines it."""
    high, low = sorted((luminance(one), luminance(two)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def weakest(b):
    """The least contrast of a character with its ground: (ratio, character, x, y)."""
    width, rgb, found = b.panel.width, b.panel.rgb(), (99, "", 0, 0)
    for x, y, w, h, character in marks(b):
        colours = Counter()
        for row in range(y, min(y + h, b.panel.height)):
            at = 3 * (row * width + x)
            line = rgb[at:at + 3 * w]
            colours.update(line[n:n + 3] for n in range(0, len(line), 3))
        ground, *inks = [colour for colour, _count in colours.most_common(2)]
        found = min(found, (contrast(ground, inks[0]) if inks else 0, character, x, y))
    return found


def hints_fit(b):
    """No hint is cut off: on the colour panel all are seen at once; on the small one they take turns, each whole."""
    c, hints = b.app.canvas, b.app.page.hint()
    assert hints, "a page without hints"
    lines = ended(page_draw.hint_lines(c, hints))
    assert [pair for line in lines for pair in line] == list(hints)
    assert len(lines) <= (c.foot // c.line_height(fonts.SMALL) if c.big else 3), hints
    for line in lines:
        at = c.pad
        for gesture, does in line:
            assert gesture in ("turn", "push", "push+turn", "hold", "back", "look", "black", "hold black"), gesture
            at += c.measure(page_draw.gesture_sign(c, gesture), fonts.SMALL) + c.pad // 2 + 1
            at += c.measure(does, fonts.SMALL)
            assert at <= c.width, line
            at += c.pad + 2
    assert b.app.screen.message or "…" not in b.lines[-1]


@pytest.mark.parametrize("panel", PANELS)
@pytest.mark.parametrize("name", SCENES)
def test_scene(name, panel):
    b = drawn(name, panel)
    check(f"{name}-{panel}", b.panel)
    assert not signs.missing(b)
    assert not list(overlaps(marks(b)))
    assert weakest(b)[0] >= 7  # WCAG 2.x, success criterion 1.4.6
    hints_fit(b)
    cut.watch(b.app, GIVEN)
    b.app.screen.touch(True)
    b.run(0.1)  # drawn once more, nothing is cut
    if b.app.stage.left() or b.app.page.live:
        return  # it moves on
    # What turns changed was drawn over the picture: drawn whole, it must be the same.
    before = b.panel.rgb()
    b.app.screen.touch()
    b.run(0.05)
    assert b.panel.rgb() == before
    assert not b.app.canvas.crowded


def test_overlaps_are_found():
    assert list(overlaps([(0, 0, 8, 15, "a"), (5, 3, 8, 15, "b")]))
    assert not list(overlaps([(0, 0, 8, 15, "a"), (8, 0, 8, 15, "b"), (0, 14, 8, 15, "c")]))


@pytest.mark.parametrize("panel", PANELS)
def test_hints_fit_on_each_row_of_the_lists_whose_hints_change(panel):
    for name in ("home", "kit", "looks", "sheet", "light-master", "run", "effects", "feed"):
        b = drawn(name, panel)
        b.turn(-40)
        for _row in b.app.page.items:
            hints_fit(b)
            b.turn(1)
