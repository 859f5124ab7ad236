"""What is refused leaves things as they were: no page that opens late, no code that stays."""

import gc
import weakref

import pytest

from firmware import parts
from firmware.show import rig_edit
from sim import Bench
from tests import loaded
from tests.feed.test_bench import Desk
from tests.ui.hand import module, pick, to
from tests.ui.test_edits import dial, name_it

LATEST = 1  # the rule by which the side that moved last holds a lamp (stage/feed_tables.py)


@pytest.fixture
def b():
    with loaded.as_after_boot(), Bench() as bench:
        bench.run(0.2)
        yield bench


def test_after_a_full_disk_the_page_that_was_asked_for_does_not_open_later(b):
    def refuse():
        b.app.open("home")
        raise OSError(28, "The disk is full")

    b.app.page.push = refuse
    b.press()
    b.run(0.1)
    assert module(b) == "light" and any("The disk is full" in line for line in b.lines)
    page = b.app.page
    b.turn(1)
    b.run(0.3)
    assert b.app.page is page


def test_a_page_that_refuses_to_open_is_not_loaded(b):
    before = loaded.names()
    b.app.open("look", "No such look")
    assert module(b) == "home"
    assert {name.rpartition(".")[2] for name in loaded.names() - before} == {"home", "list_page"}
    b.app.open("light")
    assert loaded.names() == before


def test_without_memory_for_any_page_the_loop_gives_up_and_does_not_try_for_ever(b, monkeypatch):
    def no_memory(*_args):
        raise MemoryError

    monkeypatch.setattr(b.app.machines, "need", no_memory)
    with pytest.raises(MemoryError):
        b.app.open("looks")
    monkeypatch.undo()
    b.app.open("light")
    b.run(0.1)
    assert module(b) == "light"


def test_a_grab_that_is_refused_leaves_no_code(b, monkeypatch):
    desk = Desk(b)
    desk.slots = bytes(range(256)) * 2
    desk.run(3)
    b.app.open("feed")
    desk.run(0.2)
    before = loaded.names()

    def full(*_args):
        raise ValueError("The show is full")

    monkeypatch.setattr(b.app.show.looks, "store", full, raising=False)
    count = len(b.app.show.looks)
    to(b, "Grab as a look")
    b.press()
    assert any("The show is full" in line for line in b.lines)
    assert len(b.app.show.looks) == count and loaded.names() == before


def test_another_show_drops_the_effects_that_run_and_their_code(b):
    before = loaded.names()
    b.app.open("effects")
    pick(b, "+ Flame")
    b.run(0.5)
    assert b.app.stage.effects.running
    engine = weakref.ref(b.app.stage.effects)
    b.app.open("shows")
    pick(b, "+ New show")
    name_it(b, "Studio")
    b.app.open("light")
    gc.collect()
    assert b.app.show.name == "Studio" and b.app.stage.effects is None and engine() is None
    assert loaded.names() == before


def test_another_show_drops_the_code_of_raw_slots(b):
    before = loaded.names()
    b.app.stage.move_raw([[500, 7, 8]], 0)
    b.run(0.1)
    assert b.app.stage.frame[499:501] == bytes([7, 8]) and "firmware.stage.raw_slots" in loaded.names()
    b.app.open("shows")
    pick(b, "+ New show")
    name_it(b, "Studio")
    b.app.open("light")
    assert b.app.show.name == "Studio" and loaded.names() == before


def test_a_look_is_stored_under_its_name_without_blanks(b):
    count = len(b.app.show.looks)
    b.app.stage.store(" x ")
    assert b.app.show.looks.names()[count:] == ["x"] and b.app.stage.look == "x"
    b.app.stage.store("x ")
    assert len(b.app.show.looks) == count + 1


def test_curves_are_not_loaded_once_the_rig_with_trims_is_patched(b):
    before = loaded.names()
    b.app.open("rig")
    pick(b, "Key")
    dial(b, "Curve", 2)
    assert b.app.show.rig.find("Key").trims["curve"]
    b.app.open("light")
    b.run(0.1)
    assert loaded.names() == before
    b.cut_power()
    b.boot()
    assert loaded.names() == before


def test_what_reads_slots_is_not_loaded_once_a_lamp_was_picked_up(b):
    key = b.app.show.rig.find("Key")
    key.trims = {"curve": "square"}
    b.app.show.rig.changes += 1
    desk = Desk(b)
    desk.slots = bytes([200] * 512)
    desk.run(3)
    b.app.feed.settings["rules"][key.uid] = LATEST
    b.app.feed.rules_changed()
    desk.slots = bytes([180] * 512)
    desk.run(3)
    before, level = loaded.names(), b.app.stage.value(key, "level")
    b.app.stage.dial(key, cct=4000)
    assert b.app.stage.value(key, "level") != level  # it was picked up: it has the level of the feed
    assert loaded.names() == before


def test_curves_are_not_loaded_once_light_has_shown_a_lamp_that_a_feed_holds(b):
    key = b.app.show.rig.find("Key")
    key.trims = {"curve": "square"}
    b.app.show.rig.changes += 1
    desk = Desk(b)
    b.app.open("feed")
    desk.slots = bytes([200] * 512)
    desk.run(3)
    before = loaded.names()
    b.app.open("light")
    desk.run(1)
    assert any("Key" in line and "feed" in line for line in b.lines)
    b.app.open("feed")
    desk.run(0.3)
    assert loaded.names() == before


def test_a_measured_white_has_its_code_for_as_long_as_the_stage_needs_it():
    """Else each change of the rig would load it once more, beside the one that the stage holds."""
    with loaded.as_after_boot() as known, Bench() as b:
        before, open_parts = loaded.names(), len(parts._open)
        key = b.app.show.rig.find("Key")
        for readings in ([[0, 2700, 0], [65535, 6200, 0]], [[0, 2800, 0], [65535, 6200, 0]], [[0, 2800, 0]]):
            rig_edit.trim(b.app.show.rig, key, white=readings)
            b.run(0.1)
            assert loaded.names() - before == {"firmware.light.trims", "firmware.light.curves"}
            assert len(parts._open) == open_parts + 1
        rig_edit.trim(b.app.show.rig, key, white=None)
        b.run(0.1)
        assert loaded.names() == before
        rig_edit.trim(b.app.show.rig, key, white=[[0, 2700, 0], [65535, 6200, 0]])
        b.run(0.1)
        assert loaded.outlived(known) == []
        b.app.open_show(b.app.show.folder.rpartition("/")[2])  # it was not saved: the same show without the trim
        b.run(0.1)
        assert loaded.names() == before


def test_a_patch_for_which_there_is_no_memory_leaves_no_code(b, monkeypatch):
    def no_memory(*_args):
        raise MemoryError

    before, open_parts = loaded.names(), len(parts._open)
    rig = b.app.show.rig
    rig_edit.trim(rig, rig.find("Key"), white=[[0, 2700, 0], [65535, 6200, 0]])
    monkeypatch.setattr("firmware.stage.fade.light", no_memory)
    with pytest.raises(MemoryError):
        b.app.stage.step(b.app.now)
    assert (loaded.names(), len(parts._open)) == (before, open_parts)
