"""firmware/start picks the board by boards/board.txt, and forgets what made it."""

import importlib.machinery
import sys
import types

import pytest

from firmware.parts import once


class Family:
    """Finds a made-up chip family in place of hal/rp2, each time that it is imported."""

    def find_spec(self, name, path=None, target=None):
        """A new module for hal.rp2 and hal.rp2.make."""
        if name in ("hal.rp2", "hal.rp2.make"):
            return importlib.machinery.ModuleSpec(name, self, is_package=name == "hal.rp2")
        return None

    def create_module(self, spec):
        """A usual one."""

    def exec_module(self, module):
        """The maker says what it was given."""
        if module.__name__.endswith("make"):
            module.make = lambda described, light, outs: types.SimpleNamespace(
                name=described.NAME, panel=described.PANEL["driver"], outs=outs)


@pytest.fixture
def chip(tmp_path, monkeypatch):
    """A made-up chip family, and a flash with boards/board.txt."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "boards").mkdir()
    monkeypatch.setattr(sys, "meta_path", [Family(), *sys.meta_path])
    before = {name: module for name, module in sys.modules.items()
              if name.startswith(("boards", "hal.rp2", "firmware.start"))}
    for name in before:
        monkeypatch.delitem(sys.modules, name)
    yield tmp_path
    sys.modules.update(before)


def test_board_txt_picks_the_board(chip):
    (chip / "boards/board.txt").write_text("pico_oled\n")
    board = once("firmware.start", "make")
    assert (board.name, board.panel, board.outs) == ("pico_oled", "sh1106", 1)
    left = {name for name in sys.modules if name.startswith(("boards", "hal.rp2", "firmware.start"))}
    assert left == set(), "the description's memory is free again"


def test_an_unknown_board_is_named(chip):
    (chip / "boards/board.txt").write_text("toaster")
    with pytest.raises(ValueError, match="no board called 'toaster'"):
        once("firmware.start", "make")
