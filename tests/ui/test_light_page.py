"""The Light page, by gestures on the whole device: what a detent does in each unit, groups, ends, undo.

A stop is a factor of two in light (the photometric definition); mired is 1e6 / K (CIE S 017, "reciprocal megakelvin").
"""

import pytest

from sim import Bench
from tests.ui.hand import ended, lamp, module, pick


@pytest.fixture
def b():
    with Bench() as bench:
        bench.app.stage.go("Evening", 0)
        bench.run(0.4)
        yield bench


def value(b, name, what):
    return b.app.stage.value(b.app.show.rig.find(name), what)


def choose(b, what):
    """Push until that parameter is under the knob."""
    for _ in range(12):
        if b.app.page.what == what:
            return
        b.press()
    raise AssertionError(f"{what} is not to be had here: {b.app.page.params}")


def figure(b):
    """The big figure with its unit."""
    return next(line for line in b.lines if line.endswith(("stops", "%", "K", "mired", "Duv", "green", "°")))


@pytest.mark.parametrize("unit, step", [(0, 1 / 10), (1, 1 / 3), (2, 1 / 2)])
def test_a_detent_is_a_mark_of_the_unit(b, unit, step):
    b.app.settings["level"] = unit
    b.app.stage.dial("Key", level=0.5)
    b.turn(-1)
    assert value(b, "Key", "level") == pytest.approx(0.5 * 2 ** -step, rel=1e-4)
    b.turn(2)
    assert value(b, "Key", "level") == pytest.approx(0.5 * 2 ** step, rel=1e-4)


@pytest.mark.parametrize("unit, level, said", [
    (0, 0.5, "−1.0 stops"), (1, 2 ** (-4 / 3), "−1⅓ stops"), (1, 2 ** (-5 / 3), "−1⅔ stops"),
    (2, 2 ** -1.5, "−1½ stops"), (1, 2 ** (-1 / 3), "−⅓ stops"), (3, 0.354, "35 %"), (3, 0.004, "0.4 %"),
    (0, 0, "OUT"), (0, 1, "FULL")])
def test_the_figure_says_it_in_the_unit(b, unit, level, said):
    b.app.settings["level"] = unit
    b.app.stage.dial("Key", level=level)
    b.app.screen.touch()
    b.run(0.1)
    assert said in b.lines


def test_per_cent(b):
    b.app.settings["level"] = 3
    b.app.stage.dial("Key", level=0.5)
    b.turn(-7)
    assert value(b, "Key", "level") == pytest.approx(0.43, abs=1e-4)


def test_a_lamp_that_is_out_comes_up_dim_and_goes_out_at_the_bottom(b):
    b.app.stage.dial("Key", level=0)
    b.turn(1)
    assert value(b, "Key", "level") == pytest.approx(2 ** -6, rel=1e-3)
    b.turn(-61)
    assert value(b, "Key", "level") == 0
    b.run(0.3)  # figures are drawn ten times a second
    assert "OUT" in b.lines


def test_several_lamps_keep_their_ratios_and_stop_together(b):
    lamp(b, "All lamps")
    names = ("Key", "Fill", "Window", "Back", "Practical", "Backdrop")
    before = [value(b, n, "level") for n in names]
    b.turn(-5)
    after = [value(b, n, "level") for n in names]
    assert [a / x for a, x in zip(after, before)] == pytest.approx([0.5 ** 0.5] * 6, rel=2e-3)
    b.turn(60)
    top = [value(b, n, "level") for n in names]
    assert max(top) == 1 and [a / x for a, x in zip(top, before)] == pytest.approx([1 / max(before)] * 6, rel=5e-3)
    assert any("full" in line for line in b.lines)


def test_white_in_50_k_steps_or_in_mired_and_only_what_the_lamp_can_do(b):
    choose(b, "cct")
    b.app.stage.dial("Key", cct=4312)
    b.turn(1)
    assert value(b, "Key", "cct") == 4350  # the next mark in the way of the turn
    b.app.settings["white"] = 1
    b.app.stage.dial("Key", cct=4000)  # 250 mired
    b.turn(1)
    assert value(b, "Key", "cct") == round(1e6 / 252)
    b.run(0.3)
    assert figure(b).endswith("mired")
    b.turn(-200, detent_ms=8)
    low, high = 2700, 6500  # the personality's own range
    assert value(b, "Key", "cct") == high
    b.turn(200, detent_ms=8)
    assert value(b, "Key", "cct") == low
    b.turn(1)
    assert any("as far as Key goes" in line for line in b.lines)


def test_green_as_duv_or_as_fractions_of_correction(b):
    """Fractions: firmware/light/white.py (common practice, no standard)."""
    choose(b, "duv")
    b.app.stage.dial("Key", duv=0)
    b.turn(3)
    b.run(0.3)
    assert value(b, "Key", "duv") == pytest.approx(0.003) and "+0.003 Duv" in b.lines
    b.app.settings["green"] = 1
    b.app.stage.dial("Key", duv=0)
    b.turn(-2)
    b.run(0.3)
    assert value(b, "Key", "duv") == pytest.approx(-0.006) and "−¼ green" in b.lines


def test_all_lamps_come_to_one_white(b):
    lamp(b, "All lamps")
    choose(b, "cct")
    assert "3200…9000 K" in b.lines
    b.turn(1)
    assert {value(b, n, "cct") for n in ("Key", "Fill", "Window", "Back", "Backdrop")} == {3250}
    assert "3250 K" in b.lines


def test_hue_says_why_it_does_not_show(b):
    lamp(b, "Back")
    choose(b, "hue")
    b.app.stage.dial("Back", sat=0)
    b.turn(1)
    assert any("Saturation is 0" in line for line in b.lines)


def test_picked_lamps_are_dialled_together(b):
    b.hold("push")
    pick(b, "Pick lamps", "Key", "Window")
    b.tap("back")
    assert b.app.page.item() == "Picked"
    before = [value(b, n, "level") for n in ("Key", "Window", "Fill")]
    b.turn(-10)
    after = [value(b, n, "level") for n in ("Key", "Window", "Fill")]
    assert after == pytest.approx([before[0] / 2, before[1] / 2, before[2]], rel=1e-3)


def test_the_master_is_a_row_of_the_list_and_moves_no_colour(b):
    lamp(b, "Master")
    white = b.frame[2:4]
    b.turn(-50)
    b.run(0.1)
    assert b.app.stage.master == 0.5 and b.frame[2:4] == white and "50 %" in b.lines
    b.run(0.5)  # what is beside the figures is drawn when the knob rests
    assert b.lines[0] == "Light master 50%"


@pytest.mark.parametrize("name, what, detents", [("Key", "level", -20), ("All lamps", "cct", 9), ("Back", "sat", 30)])
def test_a_run_of_dialling_is_undone_in_one_step(b, name, what, detents):
    before = b.app.stage.present()
    lamp(b, name)
    choose(b, what)
    b.turn(detents)
    b.run(2)
    b.turn(detents // 3)
    assert b.app.stage.present() != before
    b.hold("push")
    pick(b, "Undo")
    assert b.app.stage.present() == before and module(b) == "light"


def test_after_a_pause_it_is_another_run(b):
    b.turn(-5)
    between = b.app.stage.present()
    b.run(9)
    b.turn(-5)
    b.app.undo_last()
    assert b.app.stage.present() == between


def test_out_and_full_by_one_push_each(b):
    b.hold("push")
    pick(b, "Full")
    assert value(b, "Key", "level") == 1
    b.hold("push")
    pick(b, "Out")
    assert value(b, "Key", "level") == 0


def test_the_page_remembers_lamp_and_parameter(b):
    lamp(b, "Window")
    choose(b, "cct")
    b.tap("look")
    b.tap("back")
    b.tap("back")
    assert b.app.page.item().name == "Window" and b.app.page.what == "cct"


def test_what_a_lamp_cannot_give_is_said(b):
    lamp(b, "Window")
    b.app.stage.dial("Window", level=0.5, hue=140, sat=1)
    b.app.screen.touch()
    b.run(0.3)
    assert b.app.stage.miss(b.app.show.rig.find("Window")) > 0.004
    assert any("nearest it can give" in line for line in b.lines)


def test_an_empty_rig_says_where_to_begin():
    for board in ("pico2_tft", "pico_oled"):
        with Bench(board=board, show=None) as bench:
            bench.run(0.3)
            bench.turn(3)
            bench.press()
            bench.hold("push")
            bench.tap("back")
            assert any("Rig" in line for line in bench.lines), bench.lines


@pytest.mark.parametrize("what", ["cct", "duv", "hue"])
def test_a_value_that_is_drawn_while_another_comes_under_the_knob(b, what):
    """The picture of the old one is drawn to its end: its gauge has its own range, not that of a raw channel or of a
    level, which begins at 0 kelvin."""
    page = b.app.page
    page.at = page.items.index(b.app.show.rig.find("Back"))
    page._choose_row()
    page.what = what
    page._choose_row()
    whole = ended(page._value_words())
    drawing = page._value_words()
    next(drawing)
    page.what = "level"
    page._choose_row()
    assert page.span[0] == 0
    assert ended(drawing) == whole
