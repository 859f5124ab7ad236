"""The whole device keeps what it is told, through cuts in mid-write: the Bench's hands, screen and line."""

import types

import pytest

from firmware import main
from firmware.app import App
from firmware.show import shelf_edit
from sim import Bench
from sim.disk import MemoryDisk


def settle(bench, seconds=6):
    bench.run(seconds)
    return bench.frame


def test_power_up_returns_to_the_light_that_was_on_within_a_second():
    with Bench(show="demo") as b:
        b.app.stage.go("Sunrise", 0)
        b.app.stage.master = 0.5
        frame = settle(b)
        b.cut_power()
        b.run(1)
        b.boot()
        b.run(1)
        assert b.frame == frame and any(frame)
        assert b.app.stage.look == "Sunrise"


def test_after_power_up_the_first_frame_has_all_colours():
    """In use colours are worked out a few in each step; at the start none is shown before it is right."""
    with Bench(show="demo") as b:
        rig = b.app.show.rig
        for n in range(16):
            lamp = rig.add("rgbww16", "Wash %d" % n)
            b.app.stage.dial(lamp, level=1, hue=20 * n, sat=60, mix=1)
        b.app.show.save_rig()
        frame = settle(b)
        b.cut_power()
        b.boot()
        assert bytes(b.app.stage.frame) == frame


def test_the_user_can_choose_to_start_dark():
    with Bench(show="demo") as b:
        b.app.shelf.set("dark", True)
        b.app.stage.go("Sunrise", 0)
        frame = settle(b)
        b.cut_power()
        b.boot()
        b.run(1)
        assert all(b.app.stage.value(f, "level") == 0 for f in b.app.show.rig.fixtures)
        assert b.frame != frame


def test_a_cut_in_any_write_of_a_store_loses_nothing_saved():
    with Bench(show="demo") as b:
        b.run(1)
        b.app.stage.go("Evening", 0)
        settle(b)
        files = dict(b.disk.files)
    seen = set()
    for n in range(1, 20):
        with Bench(show=None, disk=MemoryDisk(files)) as b:
            before = b.app.show.looks.names()[:]
            b.disk.cut_after(n)
            try:
                b.app.stage.store("New one")
            except BaseException as cut:  # PowerCut is not an Exception
                assert type(cut).__name__ == "PowerCut"
            b.cut_power()
            b.boot()
            b.run(1)
            now = b.app.show.looks.names()
            assert now[: len(before)] == before and now[len(before) :] in ([], ["New one"])
            assert b.app.shelf.faults == []
            for name in now:
                b.app.stage.go(name, 0)
            seen.add(len(now))
    assert seen == {4, 5}


def test_a_damaged_file_is_named_on_the_screen_and_logged():
    with Bench(show="demo") as b:
        b.app.stage.store("Evening")  # a second copy of its file
        data = bytearray(b.disk.files["shows/demo/rig.json"])
        data[40] ^= 2
        b.disk.files["shows/demo/rig.json"] = bytes(data)
        b.cut_power()
        b.boot()
        b.run(0.5)
        assert any("rig.json is damaged" in line for line in b.lines)
        at, what, where = b.app.log.entries()[0]
        assert at == 0 and what.startswith("shows/demo/rig.json is damaged (wrong CRC): set aside") and where
        assert "shows/demo/rig.json.bad" in b.disk.files


def test_another_show_can_be_opened_and_the_first_comes_back():
    with Bench(show="demo") as b:
        names = list(b.app.show.looks.names())
        ident = shelf_edit.new(b.app.shelf, "Empty")
        b.app.open_show(ident)
        b.run(1)
        assert len(b.app.show.rig) == 0 and b.app.show.name == "Empty"
        b.cut_power()
        b.boot()
        b.run(1)
        assert b.app.show.name == "Empty"
        b.app.open_show("demo")
        assert b.app.show.looks.names() == names


def test_the_host_s_interrupt_keeps_what_is_on(monkeypatch):
    """mpremote stops the app with Ctrl-C, at once after a change."""
    with Bench(show="demo") as b:
        apps, feed, board = [], b.board.power.feed, b.board

        def interrupt():
            feed()
            if board.clock.ms() > 1000:
                apps[0].stage.dial("Key", level=0.375)
                apps[0].step = lambda now: (apps[0].state.step(now), ctrl_c())
            board.clock.pass_us(4000)

        def ctrl_c():
            raise KeyboardInterrupt

        monkeypatch.setattr("firmware.start.make", lambda: board)
        monkeypatch.setattr(main, "gc", types.SimpleNamespace(threshold=lambda _bytes: None, collect=lambda: None))
        monkeypatch.setattr("firmware.app.App", lambda board: apps.append(App(board)) or apps[0])
        board.power.feed = interrupt
        with pytest.raises(KeyboardInterrupt):
            main.run()
        b.boot()
        assert b.app.stage.value(b.app.show.rig.find("Key"), "level") == 0.375


@pytest.mark.parametrize("idle", [5, 40])
def test_damage_is_found_when_nobody_asks(idle):
    with Bench(show="demo") as b:
        b.run(1)
        path = "shows/demo/looks/0.log"
        data = bytearray(b.disk.files[path])
        data[-8] ^= 1
        b.disk.files[path] = bytes(data)
        b.run(idle)
        assert bool(b.app.log.entries()) == (idle == 40)
