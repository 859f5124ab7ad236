"""Short ways for one hand: solo, a changed look, undo after a loss, lamps that are out, fade times; on both panels."""

import pytest

from sim import Bench
from tests.ui.hand import lamp, module, pick, right, rows, to, told

BOARDS = ("pico2_tft", "pico_oled")


@pytest.fixture(params=BOARDS)
def b(request):
    with Bench(board=request.param) as bench:
        bench.app.stage.go("Evening", 0)
        bench.run(0.4)
        yield bench


def value(b, name):
    return b.app.stage.value(b.app.show.rig.find(name), "level")


def lit(b):
    """The names of the lamps with a dimmer whose dimmer slot is not 0."""
    out = set()
    for f in b.app.show.rig.fixtures:
        coarse = [channel[1] for channel in f.personality.channels if channel[0] == "level"]
        if coarse and b.frame[f.address - 1 + coarse[0]]:
            out.add(f.name)
    return out


def test_solo_by_one_hold_and_back_by_another(b):
    before, all_lit = b.frame, lit(b)
    assert {"Key", "Fill", "Practical"} <= all_lit
    lamp(b, "Key")
    b.hold("black")
    b.run(0.1)
    assert lit(b) == {"Key"} and b.frame[:6] == before[:6] and b.lines[0].endswith("SOLO")
    lamp(b, "Fill")  # it follows what is chosen
    b.run(0.1)
    assert lit(b) == {"Fill"}
    b.tap("black")
    b.run(0.1)
    assert not lit(b)
    b.tap("black")
    b.hold("black")
    b.run(0.1)
    assert b.frame == before and b.app.stage.present() and not b.app.stage.edited


def test_a_solo_is_stored_nowhere_and_a_power_cut_ends_it(b):
    before, light = b.frame, b.app.stage.present()
    b.hold("black")
    b.app.stage.store("In solo")
    b.run(5)
    assert b.app.show.looks.recall("In solo")[0] == light
    b.app.stage.dial("Fill", level=0.25)
    b.run(5)
    b.cut_power()
    b.boot()
    b.run(0.5)
    assert len(lit(b)) > 2 and b.frame[:6] == before[:6] and not b.app.stage.solo


def test_a_rig_that_changes_keeps_a_solo_and_effects_stay_in_it(b):
    b.hold("black")
    b.app.show.rig.add("dim", "New")
    b.app.stage.dial("New", level=1)
    b.run(0.2)
    assert "Key" in lit(b) and "Fill" not in lit(b)
    b.app.machines.effects()
    b.app.open("effects")
    b.press()
    b.run(1.5)
    assert "Fill" not in lit(b) and "Practical" not in lit(b)


def test_no_solo_while_locked_and_none_of_nothing(b):
    lamp(b, "Master")
    b.hold("black")
    assert not b.app.stage.solo and "choose a lamp" in told(b)
    b.hold("back")
    b.hold("black")
    assert not b.app.stage.solo


def test_a_changed_look_says_so_and_a_push_drops_the_change(b):
    assert "changed" not in b.lines[0]
    before = b.app.stage.present()
    b.turn(-7)
    b.run(0.2)
    assert b.lines[0].endswith("changed")
    b.run(5)
    b.cut_power()
    b.boot()
    b.run(0.5)
    assert b.lines[0].endswith("changed"), "it is kept with the light"
    b.tap("look")
    assert right(b, "Evening") == "changed"
    b.press()
    b.run(4)
    assert b.app.stage.present() == before and right(b, "Evening") == "on"
    assert "changed" not in b.lines[0] and "Store the change" not in rows(b)


def test_a_push_on_the_row_below_stores_the_change(b):
    b.turn(-7)
    light = b.app.stage.present()
    b.tap("look")
    b.turn(1)
    b.press()
    b.run(0.2)
    assert b.app.show.looks.recall("Evening")[0] == light and right(b, "Evening") == "on"
    assert b.app.show.looks.recall("Evening")[1] & (1 << 20) - 1 == 3000, "its fade time is as it was"
    b.tap("back")
    assert b.app.page.item() == "Undo"
    b.press()
    assert b.app.show.looks.recall("Evening")[0] != light


def test_there_and_back_is_no_change(b):
    b.turn(-3)
    b.turn(3)
    b.tap("look")
    b.run(0.2)
    assert right(b, "Evening") == "on" and "changed" not in b.lines[0]


def test_the_menu_of_light_drops_a_change_too(b):
    before = b.app.stage.present()
    b.turn(-7)
    b.hold("push")
    pick(b, "Drop change")
    b.run(4)
    assert b.app.stage.present() == before
    b.app.undo_last()
    assert b.app.stage.present() != before


@pytest.mark.parametrize("what", ["look", "lamp", "effect"])
def test_after_a_loss_the_words_say_how_to_undo_and_that_does_it(b, what):
    if what == "look":
        b.tap("look")
        b.hold("push")
        pick(b, "Delete")
    elif what == "lamp":
        b.app.open("rig")
        pick(b, "Fill", "Remove")
    else:
        b.app.machines.effects()
        b.app.open("effects")
        b.press()
        b.hold("push")
        pick(b, "Remove")
    assert "Undo: back, push" in told(b, 5).replace("Undo: push", "")
    b.tap("back")
    assert module(b) == "home" and b.app.page.item() == "Undo"
    b.press()
    if what == "look":
        assert "Evening" in b.app.show.looks.names()
    elif what == "lamp":
        assert b.app.show.rig.find("Fill")
    else:
        assert b.app.stage.effects.saved


def test_what_is_no_loss_leaves_the_cursor_where_it_was(b):
    b.turn(-5)
    b.tap("back")
    assert b.app.page.item() == "Light"


def test_lamps_that_are_out_are_named_and_raised_by_a_push(b):
    b.app.stage.dial("Fill", level=0)
    lamp(b, "All lamps")
    b.turn(2)
    assert value(b, "Fill") == 0
    assert "Out: Fill" in told(b, 2)
    b.press()
    lowest = min(value(b, f.name) for f in b.app.show.rig.fixtures)
    assert value(b, "Fill") == lowest > 0 and b.app.page.what == "level"
    b.app.undo_last()
    assert value(b, "Fill") == 0


def test_all_that_are_out_come_up_together_and_nobody_is_asked(b):
    for f in b.app.show.rig.fixtures:
        b.app.stage.dial(f, level=0)
    lamp(b, "All lamps")
    b.turn(1)
    assert all(value(b, f.name) > 0 for f in b.app.show.rig.fixtures)
    assert "Push" not in told(b, 2)


def test_a_look_is_stored_with_a_fade_time(b):
    b.hold("push")
    b.press()
    b.push_turn(6)
    b.run(0.3)
    assert any("5 s" in line for line in b.lines)
    b.press()
    assert b.app.show.looks.recall("Look 5")[1] == 5000
    b.app.open("look_store")
    b.push_turn(-2)
    pick(b, "Own name")
    b.turn(1)
    b.hold("push")
    assert b.app.show.looks.recall(b.app.show.looks.names()[-1])[1] == 1000


def test_a_time_dialled_on_looks_is_for_that_look_and_once(b):
    b.tap("look")
    to(b, "Moonlight")
    b.run(0.6)
    b.push_turn(4)
    b.run(0.3)
    assert any(line.startswith("once in") for line in b.lines), b.lines
    b.turn(1)
    b.turn(-1)
    b.run(0.6)
    assert any(line.startswith("in 8 s") for line in b.lines), b.lines
    b.push_turn(-6)
    b.press()
    assert 4000 < b.app.stage.left() <= 5000 and b.app.show.looks.recall("Moonlight")[1] == 8000
