"""Everything is in reach of the knob and the back key alone, on either panel."""

import pytest

from sim import Bench
from tests.ui.hand import lamp, module, pick, right

BOARDS = ("pico2_tft", "pico_oled")


class TwoControls:
    """A Bench on which only the encoder and the back key are touched."""

    def __init__(self, board):
        self.b = Bench(board=board)
        self.app = self.b.app
        self.press, self.turn, self.push_turn, self.run = self.b.press, self.b.turn, self.b.push_turn, self.b.run

    def hold(self):
        """Hold the knob."""
        self.b.hold("push")

    def back(self):
        """Tap back."""
        self.b.tap("back")

    def pages(self):
        """Back to the list of pages."""
        for _ in range(8):
            if module(self) == "home":
                return
            self.back()
        raise AssertionError("back does not lead to the list of pages")


@pytest.fixture(params=BOARDS)
def d(request):
    two = TwoControls(request.param)
    two.app.stage.go("Evening", 0)
    two.run(0.4)
    return two


def test_blackout_and_all_full(d):
    lit = d.b.frame
    d.pages()
    pick(d, "Blackout")
    d.run(0.1)
    assert d.app.stage.blackout and d.b.frame != lit and right(d, "Blackout") == "on"
    pick(d, "Blackout", "All full")
    d.run(0.1)
    assert d.app.stage.full and d.b.frame[0] == 255
    pick(d, "All full")
    d.run(0.1)
    assert d.b.frame == lit


def test_looks_are_gone_to_stored_and_held(d):
    d.pages()
    pick(d, "Looks", "Moonlight")
    d.run(1)
    assert d.app.stage.left() > 0
    d.pages()
    pick(d, "Hold fades")
    assert d.app.stage.paused
    pick(d, "Hold fades")
    d.pages()
    pick(d, "Light")
    d.hold()
    pick(d, "Store new look", "Night")
    assert "Night" in d.app.show.looks.names()


def test_master_lock_and_dark_screen(d):
    lamp(d, "Master")
    d.turn(-10)
    assert d.app.stage.master == pytest.approx(0.9, abs=1e-4)
    d.b.hold("back")
    assert d.app.locked
    d.b.hold("back")
    assert not d.app.locked
    d.pages()
    pick(d, "Settings", "Screen off now")
    d.run(0.1)
    assert d.b.panel.light == 0
    d.turn(1)
    assert d.b.panel.light > 0


def test_each_page_of_the_list_opens_and_back_leads_to_the_list(d):
    d.pages()
    listed = [item for item in d.app.page.items if item[0].isupper() and item not in
              ("Undo", "Blackout", "All full", "Hold fades")]
    seen = set()
    for name in listed:
        pick(d, name)
        seen.add(module(d))
        d.pages()
    assert len(seen) == len(listed) and "home" not in seen
