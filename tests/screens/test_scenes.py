"""Every page on both panels as kept; and what can be told without an eye: no text on another, no stale pixels."""

import itertools

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


@pytest.mark.parametrize("panel", PANELS)
@pytest.mark.parametrize("name", SCENES)
def test_scene(name, panel):
    b = drawn(name, panel)
    check(f"{name}-{panel}", b.panel)
    assert not list(overlaps(marks(b)))
    if b.app.stage.left():
        return
    # What turns changed was drawn over the picture: drawn whole, it must be the same.
    before = bytes(b.app.canvas._panel.buffer)
    b.app.screen.touch()
    b.run(0.05)
    assert bytes(b.app.canvas._panel.buffer) == before


def test_overlaps_are_found():
    assert list(overlaps([(0, 0, 8, 15, "a"), (5, 3, 8, 15, "b")]))
    assert not list(overlaps([(0, 0, 8, 15, "a"), (8, 0, 8, 15, "b"), (0, 14, 8, 15, "c")]))
