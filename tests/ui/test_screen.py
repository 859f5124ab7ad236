"""Brightness, dimming, sleep, lock and the frame around the pages, on the whole device."""

import pytest

from firmware.show import device_settings
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import page_draw
from sim import Bench
from sim.disk import MemoryDisk
from tests.ui.hand import ended, module, pick, to, told

BOARDS = ("pico2_tft", "pico_oled")


@pytest.fixture(params=BOARDS)
def bench(request):
    with Bench(board=request.param) as b:
        b.run(0.4)
        yield b


def with_kit(**kit):
    """A device whose settings are these."""
    disk = MemoryDisk()
    device_settings.save(disk, device_settings.defaults() | kit)
    b = Bench(disk=disk)
    b.run(0.4)
    return b


def test_dims_after_a_while_and_a_gesture_lights_it_and_counts():
    b = with_kit(light=80, dim=10, dim_s=10)
    assert b.panel.light == 80
    b.run(10)
    assert round(b.panel.light) == 10
    level = b.app.stage.value(b.app.show.rig.fixtures[0], "level")
    b.turn(-1)
    assert b.panel.light == 80 and b.app.stage.value(b.app.show.rig.fixtures[0], "level") < level


def test_never_dims_where_it_is_told_not_to():
    b = with_kit(light=50, dim_s=0, off_s=0)
    b.run(30)
    assert round(b.panel.light) == 50


@pytest.mark.parametrize("wake", ["turn", "push", "back", "look"])
def test_dark_screen_light_still_on_and_the_first_gesture_only_wakes_it(wake):
    b = with_kit(off_s=10)
    b.app.stage.go("Evening", 0)
    b.run(0.2)
    lit = b.frame
    b.run(10)
    assert b.panel.light == 0 and b.frame == lit and any(lit)
    page, what, at = b.app.page, b.app.page.what, b.app.page.at
    if wake == "turn":
        b.turn(3)
        b.run(0.1)
        assert b.frame != lit  # the first detent woke it; the next two dialled
    else:
        b.tap(wake)
        assert b.app.page is page and b.app.page.what == what and b.app.page.at == at and b.frame == lit
    assert b.panel.light == 60


def test_blackout_works_on_a_dark_screen():
    b = with_kit(off_s=10)
    b.run(11)
    assert b.panel.light == 0
    b.tap("black")
    assert b.app.stage.blackout and b.panel.light == 60


def test_lock_by_holding_back_and_what_still_works(bench):
    b = bench
    b.app.stage.go("Evening", 0)
    b.run(0.3)
    b.hold("back")
    assert b.app.locked
    lit, page = b.frame, b.app.page
    b.run(4.5)
    hints = " ".join(" ".join(pair) for pair in page_draw.LOCKED_HINTS)
    assert "unlock" in hints and "LOCKED" in b.lines[0]
    assert any("unlock" in line for line in b.lines), b.lines  # the way out is on the screen while it is locked
    b.turn(5)
    b.press()
    b.push_turn(3)
    b.hold("push")
    b.hold("look")
    b.tap("back")
    b.tap("look")
    assert b.frame == lit and b.app.page is page and not b.app.stage.full
    assert any("hold back" in line for line in b.lines), b.lines
    b.tap("black")
    b.run(0.1)
    assert b.app.stage.blackout and b.lines[0].endswith("LOCKED BLACK")
    b.tap("black")
    b.hold("back")
    assert not b.app.locked
    b.turn(-5)
    b.run(0.1)
    assert b.frame != lit


def test_no_lock_where_the_kit_says_so():
    b = with_kit(lock=0)
    b.hold("back")
    assert not b.app.locked


def test_the_title_says_what_keeps_the_light_from_being_as_dialled(bench):
    b, stage = bench, bench.app.stage

    def said():
        b.run(0.3)
        return b.lines[0].removeprefix("Light").strip()

    stage.go("Evening", 0)
    assert said() == ""
    stage.master = 0.72
    b.app.screen.touch()
    assert said() == "master 72%"
    stage.go("Moonlight", 8)
    assert said().startswith("fade 7.")
    moving = said()
    assert said() < moving  # it counts down by itself
    stage.pause(True)
    assert said() == "PAUSED"
    b.key_down("look")
    b.run(1)
    assert said() == "ALL FULL"
    b.key_up("look")
    b.tap("black")
    assert said() == "BLACK"


def test_a_fade_is_shown_moving(bench):
    b = bench
    b.app.stage.go("Evening", 0)
    b.app.stage.go("Moonlight", 4)
    seen = set()
    for _ in range(10):
        b.run(0.3)
        seen.add(tuple(line for line in b.lines if "Key" in line or "−" in line))
    assert len(seen) > 5


def test_messages_go_and_the_hints_come_back(bench):
    b = bench
    b.app.say("Something")
    b.run(0.3)
    assert "Something" in b.lines
    b.run(4.5)
    assert "Something" not in b.lines


def test_a_long_message_is_shown_whole(bench):
    b = bench
    b.app.say("Clash: Background 2 holds 101-112, and there is no room behind it")
    page = b.app.page
    shown = told(b)
    for word in ("Clash:", "Background", "101-112,", "behind"):
        assert word in shown, shown
    assert "…" not in shown and b.app.page is page and not b.app.screen.message


def test_no_message_covers_the_row_or_the_figure_that_is_dialled(bench):
    """A full lamp is turned up on and on: the message that it is full stands below all of it."""
    b = bench
    b.app.stage.dial("Key", level=1)
    b.app.say("This is a message of so many words that it would take four lines of a small panel, or more than that")
    for _ in range(40):
        b.run(0.1)
        assert "FULL" in b.lines and any(line.startswith("Key") for line in b.lines), b.lines
        assert any(line.startswith("Level") for line in b.lines), b.lines


def test_every_hint_has_its_turn_where_there_is_no_room_for_all():
    with Bench(board="pico_oled") as b:
        b.run(0.4)
        seen = set()
        for _ in range(30):
            b.run(0.5)
            seen.add(b.lines[-1])
        assert len(seen) == 3
        shown = " ".join(seen)
        assert all(word in shown for word in ("dial", "next", "lamp", "more", "pages", "solo"))


def test_hints_are_packed_without_cutting_any():
    with Bench(board="pico_oled") as b:
        c = b.app.canvas
        pairs = tuple(("push", "word" * n) for n in range(1, 5))
        lines = ended(page_draw.hint_lines(c, pairs))
        assert [pair for line in lines for pair in line] == list(pairs)
        for line in lines:
            wide = sum(c.measure(text, fonts.SMALL) for _gesture, text in line)
            assert len(line) == 1 or wide < c.width


def test_tones_for_kept_refused_and_locked():
    with Bench() as b:
        b.run(0.3)
        b.hold("back")
        b.hold("back")
        b.app.open("rig")
        pick(b, "Fill")
        to(b, "Address")
        b.press()
        b.turn(5)
        b.press()  # clashes
        b.app.open("look_store")
        b.press()
        heard = b.board.buzzer.tones
        assert len({hz for hz, _ms in heard}) == 3 and len(heard) == 4
        b.app.settings["sound"] = 0
        b.hold("back")
        assert len(b.board.buzzer.tones) == 4


def test_the_first_page_is_light_and_back_shows_the_pages(bench):
    assert module(bench) == "light"
    bench.tap("back")
    assert module(bench) == "home"


def test_settings_survive_a_power_cut_and_a_torn_file_gives_defaults():
    with Bench() as b:
        b.run(0.3)
        b.app.open("settings")
        pick(b, "Brightness")
        b.turn(-20)
        b.press()
        b.run(0.1)
        assert b.app.settings["light"] == 40 and b.panel.light == 40
        b.cut_power()
        b.boot()
        b.run(0.3)
        assert b.app.settings["light"] == 40 and b.panel.light == 40
        for name in ("kit.json", "kit.json~"):
            if name in b.disk.files:
                b.disk.write(name, b"{")
        b.cut_power()
        b.boot()
        b.run(0.3)
        assert b.app.settings == device_settings.defaults()
        assert any("kit.json" in line for line in b.lines)


def test_a_full_disk_is_said_and_stops_nothing(monkeypatch):
    with Bench() as b:
        b.run(0.3)

        def full(*_args):
            raise OSError(28, "no room for this: delete looks")

        monkeypatch.setattr(b.app.page, "push", full)
        b.press()
        b.run(0.1)
        assert any("no room for this" in line for line in b.lines)
        monkeypatch.setattr("firmware.show.looks.Looks.names", full)
        b.tap("look")  # the page itself cannot be made
        b.run(0.1)
        assert module(b) == "home" and any("no room for this" in line for line in b.lines)
        b.turn(1)
        b.run(0.1)


def test_a_push_does_what_the_message_offers_while_it_stands(bench):
    b, done = bench, []
    b.app.say("Push: do it, as was said here in so many words that they are two pieces", None, done.append, 1)
    b.run(0.1)
    b.press()
    assert not done, "it was on its way before anybody could read"
    b.run(0.5)
    what = b.app.page.what
    b.press()
    assert done == [1] and not b.app.screen.message and b.app.page.what == what
    b.press()
    assert done == [1] and b.app.page.what != what
    b.app.say("Push: again", None, done.append, 2)
    b.run(5)
    b.press()
    assert done == [1], "the message is gone"


def test_the_lock_survives_a_power_cut(bench):
    b = bench
    b.hold("back")
    b.run(0.2)
    b.cut_power()
    b.boot()
    b.run(0.4)
    lit = b.frame
    assert b.app.locked and "LOCKED" in b.lines[0]
    b.turn(-5)
    b.run(0.1)
    assert b.frame == lit
    b.hold("back")
    b.run(0.2)
    b.cut_power()
    b.boot()
    b.run(0.4)
    assert not b.app.locked


def test_hold_and_push_are_other_signs_and_no_two_words_run_together():
    """Signs at arm's length: hold is a word. A gesture and what it does are two texts with a cap under the first."""
    with Bench(board="pico_oled") as b:
        c = b.app.canvas
        signs = [page_draw.gesture_sign(c, gesture) for gesture in ("push", "hold", "turn", "back", "push+turn")]
        assert len(set(signs)) == 5 and signs[1] == "hold"
        b.hold("back")
        b.run(8)
        assert "blackblackout" not in "".join(b.lines).replace(" ", ""), b.lines


@pytest.mark.parametrize("page", ["home", "settings", "rig", "effects", "slate", "looks"])
def test_a_list_has_one_font(bench, page):
    b = bench
    b.app.show.rig.fixtures[0].name = "A lamp of a long name"
    b.app.open(page)
    for _ in range(6):
        b.run(0.6)
        c = b.app.canvas
        data, heights = c._strokes, set()
        for n in range(c._count):
            y = (data[4 * n] & 4095) - 1024
            if data[4 * n + 1] and data[4 * n + 2] & 3 == 2 and c.head + c.row < y < c.height - c.foot - c.row:
                heights.add(data[4 * n + 2] >> 6 & 3)
        assert len(heights) <= 1, (b.lines, heights)
        b.turn(2)
