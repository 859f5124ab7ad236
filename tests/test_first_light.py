"""The main job from end to end: dial by knob, store looks, fade between them, and read the line with sigrok."""

import pytest

from firmware.ui.pages import undo_edits
from sim import Bench
from sim.disk import MemoryDisk
from tests import sigrok


def decoded(b, tmp_path):
    """The 512 slots of the last whole packet as sigrok reads them off the line's edges."""
    path = tmp_path / "line.vcd"
    b.save_vcd(path, packets=2)
    seen = sigrok.packets(path)
    assert len(seen) == 2
    for code, slots in seen:
        assert code == 0  # ANSI E1.11: dimmer levels go under the NULL start code
        assert len(slots) == 512
    return seen[-1][1]


def level16(slots, address):
    """Coarse and fine from a start address, 1..512."""
    return slots[address - 1] << 8 | slots[address]


def test_two_looks_and_a_fade_between_them_by_knob_alone(tmp_path):
    with Bench(show=None) as b:
        b.run(0.2)
        # Rig: patch two 16-bit dimmers.
        for _ in range(2):
            b.tap("back")
            pick(b, "Rig")
            pick(b, "+ Add a lamp")
            pick(b, "Dimmer 16 bit")
            for _up in range(4):  # the first leaves it the name of its kind
                b.tap("back")
        assert [(f.name, f.address) for f in b.app.show.rig.fixtures] == [("Dimmer 16 bit", 1), ("Dimmer 16 bit 2", 3)]

        # Light: the first to full, store; then the first one stop down and the second up, store.
        to_lamp(b, "Dimmer 16 bit")
        b.turn(70)
        b.run(0.1)
        full = decoded(b, tmp_path)
        assert full == b.frame == bytes(b.app.stage.frame)
        assert level16(full, 1) == 65535
        store(b, "Day")
        b.turn(-10)  # ten tenths of a stop
        b.run(0.1)
        # One stop less is half the light (the photometric definition of the stop).
        assert level16(decoded(b, tmp_path), 1) == pytest.approx(65535 / 2, abs=2)
        to_lamp(b, "Dimmer 16 bit 2")
        b.turn(70)
        store(b, "Night")

        # Looks: fade from Night to Day in four seconds; the line is read in mid-fade, in black, and at the end.
        b.tap("look")
        b.run(0.1)
        go_in(b, "Day", 4)
        b.run(1.9)
        middle = decoded(b, tmp_path)
        assert middle == b.frame
        assert 65535 * 0.55 < level16(middle, 1) < 65535 * 0.95
        assert 65535 * 0.05 < level16(middle, 3) < 65535 * 0.65
        b.tap("black")
        b.run(0.1)
        assert decoded(b, tmp_path) == bytes(512) == b.frame
        b.tap("black")
        b.run(4)
        assert decoded(b, tmp_path) == full == b.frame


def rows(b):
    """The left texts of the open list."""
    return [b.app.page.row(item)[0] for item in b.app.page.items]


def chosen(b):
    """The text of the row that is chosen on the open list."""
    return rows(b)[b.app.page.at]


def pick(b, name):
    """Turn to the row of that name and push."""
    names = rows(b)
    b.turn(names.index(name) - b.app.page.at)
    assert chosen(b) == name
    b.press()


def to_lamp(b, name):
    """On the Light page: push and turn to a lamp."""
    names = [getattr(item, "name", item) for item in b.app.page.items]
    b.push_turn(names.index(name) - b.app.page.at)


def store(b, name):
    """From the Light page: hold, choose a name, push."""
    b.hold("push")
    pick(b, "Store new look")
    pick(b, name)
    b.run(0.1)
    assert name in b.app.show.looks.names()


def go_in(b, name, seconds):
    """From the Looks page: dial the time, choose the look, push."""
    names = rows(b)
    b.turn(names.index(name) - b.app.page.at)
    while b.app.page.seconds != seconds:
        b.push_turn(-1 if (b.app.page.seconds or 9) > seconds else 1)
    b.press()


def test_the_demo_show_boots_into_its_rig(tmp_path):
    with Bench() as b:
        b.run(0.3)
        assert [f.name for f in b.app.show.rig.fixtures] == ["Key", "Fill", "Window", "Back", "Practical", "Backdrop"]
        assert len(b.app.show.looks) == 4
        assert any("Key" in line for line in b.lines)
        assert decoded(b, tmp_path) == bytes(b.app.stage.frame)


def damaged(files, name, at):
    """A disk with one byte of a file turned over."""
    disk = MemoryDisk(files)
    data = bytearray(disk.read(name))
    data[at] ^= 1
    disk.write(name, data)
    return disk


def test_a_damaged_look_is_said_on_the_screen_and_nothing_else_is_lost():
    with Bench() as b:
        b.run(0.5)
        files = dict(b.disk.files)
    log = next(n for n in files if "/looks/" in n)
    with Bench(show=None, disk=damaged(files, log, 60)) as b:  # in the light of the first look
        said = []
        for _ in range(50):
            b.run(0.3)
            said += b.lines
        assert any("Evening is damaged" in line for line in said), set(said)
        b.run(30)
        assert log + ".bad" in b.disk.files  # set aside
        assert len(b.app.show.rig) == 6
        with pytest.raises(ValueError, match="No look called Evening"):
            b.app.stage.go("Evening")
        for name in ("Moonlight", "Fridge open", "Sunrise"):
            b.app.stage.go(name, 0)


def test_a_foreign_file_in_place_of_the_rig_is_said_and_kept():
    with Bench() as b:
        files = dict(b.disk.files)
    rig = next(n for n in files if n.endswith("rig.json"))
    files[rig] = b"<xml>not ours</xml>"
    for spare in [n for n in files if n.startswith(rig) and n != rig]:
        del files[spare]
    with Bench(show=None, disk=MemoryDisk(files)) as b:
        b.run(0.3)
        assert any("rig.json" in line for line in b.lines), b.lines
        assert b"<xml>not ours</xml>" in b.disk.files.values()  # set aside, not thrown away
        assert len(b.app.show.looks) == 4


def test_power_cut_and_back_gives_the_looks_back():
    with Bench(show=None) as b:
        undo_edits.change_rig(b.app, "add", "dim16", "Key")
        b.app.stage.dial("Key", level=0.5)
        b.run(0.1)
        b.app.stage.store("Half")
        b.cut_power()
        b.run(1)
        b.boot()
        b.run(0.5)
        assert [f.name for f in b.app.show.rig.fixtures] == ["Key"]
        b.app.stage.go("Half", 0)
        b.run(0.1)
        assert level16(b.frame, 1) == 32768


def test_a_crash_of_the_disk_in_mid_save_loses_nothing():
    with Bench() as b:
        b.run(0.5)
        names = list(b.app.show.looks.names())
        b.disk.cut_after(2)
        b.hold("push")
        b.press()
        b.press()
        b.run(0.2)
        assert b.app is None  # the plug went in the middle of the save
        b.boot()
        b.run(0.5)
        assert set(names) <= set(b.app.show.looks.names())
        assert not b.app.show.faults
