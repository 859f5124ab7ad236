"""A monkey's gestures find no exception, nothing outside the panel, no page without a way back.

WALK=100000 sets how many gestures a panel gets; 8,000 without it, to keep the suite quick.
"""

import os

import pytest

from firmware.ui.frame import theme
from tests.ui import walker


@pytest.mark.parametrize("panel", walker.SIZES)
def test_a_monkey_finds_nothing(panel):
    walked = walker.walk(panel, 7, int(os.environ.get("WALK", "8000")))
    assert len(walked.pages) > 15  # it came around


def test_the_monkey_would_find_what_is_wrong():
    w = walker.Walker("oled", 1)
    c = w.app.canvas
    with pytest.raises(walker.Outside, match="box"):
        c.box(100, 0, 29, 5, theme.TEXT)
    with pytest.raises(walker.Outside, match="'low'"):
        c.text("low", 0, 60, 0, theme.TEXT)
    with pytest.raises(walker.Outside, match="'left'"):
        c.text("left", -3, 0, 0, theme.TEXT, None, 50)
    w.app.page.back = lambda: None
    w.app.page.__class__ = type("Page", (w.app.page.__class__,), {"__module__": "firmware.ui.trap"})
    with pytest.raises(AssertionError, match="no way back"):
        w.go_out()
    w.app.page.push = lambda: 1 / 0
    with pytest.raises(ZeroDivisionError):
        for _ in range(200):
            w.gesture("push")
