"""Everything is in reach of the knob and the back key alone, and no hint is ever cut off, on either panel."""

import pytest

from firmware.ui import canvas as fonts
from firmware.ui import page as ui
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
    pick(d, "Kit", "Screen off now")
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


# Each page of the interface and how to open it: used for the golden screens too.
PAGES = {
    "light": (), "light_acts": ("item", "chosen"), "pick": (), "store": (),
    "name": ("lamp", "Key", None, (), ("light",)),
    "looks": (), "look": ("Moonlight",), "cross": ("Moonlight",), "rig": (), "lamp": ("fixture",), "kind": (None,),
    "sheet": (), "slots": (), "home": (), "kit": (), "shows": (), "show": ("demo",), "faults": (), "about": (),
    "run": (), "run_add": (), "selftest": (),
}


def show_page(b, name):
    """Open a page of PAGES as its parent does."""
    fixtures = b.app.show.rig.fixtures
    stand_in = {"fixture": fixtures[0], "item": fixtures[0], "chosen": fixtures[:1]}
    b.app.open(name, *[stand_in.get(a, a) if isinstance(a, str) else a for a in PAGES[name]])
    b.run(0.7)


@pytest.mark.parametrize("board", BOARDS)
@pytest.mark.parametrize("name", PAGES)
def test_no_hint_is_cut_off(board, name):
    """On the colour panel all hints are seen at once; on the small one they take turns, each whole."""
    with Bench(board=board) as b:
        b.run(0.3)
        show_page(b, name)
        c, page = b.app.canvas, b.app.page
        for _turn in range(12):
            hints = page.hint()
            assert hints, "a page without hints"
            for gesture, _does in hints:
                assert gesture in ("turn", "push", "push+turn", "hold", "back", "look", "black"), gesture
            lines = ui.hint_lines(c, hints)
            assert [pair for line in lines for pair in line] == list(hints)
            shown = c.foot // c.line_height(fonts.SMALL)
            assert len(lines) <= (shown if c.big else 3), (name, hints)
            for line in lines:
                at = c.pad
                for gesture, does in line:
                    at += c.measure(ui.sign(c, gesture), fonts.SMALL) + c.pad // 2 + 1 + c.measure(does, fonts.SMALL)
                    assert at <= c.width, (name, line)
                    at += c.pad + 2
            assert "…" not in b.lines[-1]
            b.turn(1)
