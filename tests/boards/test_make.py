"""firmware/start picks the board by board.txt, and forgets what made it."""

import pathlib
import sys
import types

import pytest

import hal


@pytest.fixture
def chip(tmp_path, monkeypatch):
    """A made-up chip family in place of hal/rp2, and a flash with board.txt."""
    monkeypatch.chdir(tmp_path)
    maker = types.ModuleType("hal.rp2.make")
    maker.make = lambda described: types.SimpleNamespace(name=described.NAME, panel=described.PANEL["driver"])
    family = types.ModuleType("hal.rp2")
    family.make = maker
    for name, module in (("hal.rp2", family), ("hal.rp2.make", maker)):
        monkeypatch.setitem(sys.modules, name, module)
    monkeypatch.setattr(hal, "rp2", family, raising=False)
    before = {name: module for name, module in sys.modules.items() if name.split(".")[0] == "boards"}
    for name in before:
        monkeypatch.delitem(sys.modules, name)
    yield tmp_path
    sys.modules.update(before)


def test_board_txt_picks_the_board(chip):
    (chip / "board.txt").write_text("pico_oled\n")
    from firmware.start import make

    board = make()
    assert (board.name, board.panel) == ("pico_oled", "sh1106")
    left = {name for name in sys.modules if name.startswith("boards") or name == "hal.rp2.make"}
    assert left == set(), "the description's memory is free again"


def test_an_unknown_board_is_named(chip):
    (chip / "board.txt").write_text("toaster")
    from firmware.start import make

    with pytest.raises(ValueError, match="no board called 'toaster'"):
        make()


def test_what_it_forgets_is_there():
    """A name of a module that was renamed would be forgotten without an error, and stay in memory."""
    from firmware import start

    root = pathlib.Path(__file__).parents[2]
    paths = [root / name.replace(".", "/") for name in start._MAKERS]
    assert [path for path in paths if not path.with_suffix(".py").exists() and not path.is_dir()] == []
