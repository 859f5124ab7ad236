"""Every page on both panels as kept; and what can be told without an eye: no text on another, no stale pixels."""

import itertools
from collections import Counter

import pytest

from tests.screens import check
from tests.screens.scenes import PANELS, SCENES, drawn


def overlaps(runs):
    """Pairs of texts of which one stands on the other. runs: (x, y, height, text) with widths."""
    for (x1, y1, w1, h1, a), (x2, y2, w2, h2, b) in itertools.combinations(runs, 2):
        if x1 < x2 + w2 and x2 < x1 + w1 and y1 < y2 + h2 - 2 and y2 < y1 + h1 - 2:  # lines may touch
            yield a, b


def marks(b):
    """The characters on the screen: (x, y, width, height, character)."""
    return [tuple(mark[:5]) for mark in b._text._marks if mark[4].strip()]


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


@pytest.mark.parametrize("panel", PANELS)
@pytest.mark.parametrize("name", SCENES)
def test_scene(name, panel):
    b = drawn(name, panel)
    check(f"{name}-{panel}", b.panel)
    assert not list(overlaps(marks(b)))
    assert weakest(b)[0] >= 7  # WCAG 2.x, success criterion 1.4.6
    if b.app.stage.left() or b.app.page.live:
        return  # it moves on
    # What turns changed was drawn over the picture: drawn whole, it must be the same.
    before = bytes(b.app.canvas._panel.buffer)
    b.app.screen.touch()
    b.run(0.05)
    assert bytes(b.app.canvas._panel.buffer) == before


def test_overlaps_are_found():
    assert list(overlaps([(0, 0, 8, 15, "a"), (5, 3, 8, 15, "b")]))
    assert not list(overlaps([(0, 0, 8, 15, "a"), (8, 0, 8, 15, "b"), (0, 14, 8, 15, "c")]))
