"""The pages made from the board files: up to date, complete, with their cautions."""

import re
import types

import pytest

import boards
import boards.__main__ as command
from boards import chips, modules, nets, pages, parts

BOARDS = [boards.load(name) for name in boards.NAMES]
each = pytest.mark.parametrize("board", BOARDS, ids=boards.NAMES)


def test_the_committed_pages_are_the_made_ones():
    assert command.stale() == []
    assert command.main(["check"]) == 0


def test_check_fails_on_a_stale_page(monkeypatch, tmp_path, capsys):
    monkeypatch.setattr(command, "DOCS", tmp_path)
    monkeypatch.setattr(command, "ROOT", tmp_path)
    assert command.main(["check"]) == 1
    assert "README.md is stale" in capsys.readouterr().out
    assert command.main([]) == 0
    assert command.main(["check"]) == 0
    (tmp_path / "pico_tft/parts.md").write_text("5 of everything")
    assert command.main(["check"]) == 1
    assert capsys.readouterr().out == "pico_tft/parts.md is stale: run python -m boards\n"


@each
def test_the_wiring_table_has_every_pin(board):
    page = pages.wiring(board)
    for what, pin, _function, _bus in chips.asks(board):
        if pin not in modules.FIXED[board.MODULE]:
            place = modules.place(board.MODULE, pin)
            goes = f"| {modules.name(board.MODULE, pin)}, {modules.number(board.MODULE, *place)} |"
            assert page.count(goes) == 1, what


@each
def test_parts_and_pins_agree(board):
    """Every unit on the wiring page is on the parts list, as often as it is wired."""
    have = dict(board.PARTS)
    all_of_it = {**have, **dict(board.OPTIONS)}
    assert set(all_of_it) <= set(parts.PARTS)
    for unit in nets.units(board):
        assert unit["part"] in all_of_it, unit["title"]
    assert have["port"] == have["r10k"] == len(board.LINES)
    assert have["key"] == len(board.KEYS) - 1
    uses = [line["use"] for line in board.LINES]
    assert (have.get("xlr_out", 0), have.get("xlr_in", 0)) == (uses.count("out"), uses.count("in"))
    assert have.get("r120", 0) == have.get("slide", 0) == uses.count("in")
    meter = board.POWER["adc"] not in modules.FIXED[board.MODULE]
    assert have.get("r100k", 0) == (2 if meter else 0)
    assert have["c100n"] == len(board.LINES) + 1 + meter
    assert ("tft" in have) == (board.PANEL["bus"] == "spi")


@each
def test_the_rail_is_not_overloaded(board):
    """Limit: what the carrier's 3.3 V pin may give, less a fifth to spare (common practice, no source)."""
    assert parts.rail_ma(board) <= 0.8 * parts.RAIL_MA[board.MODULE]


def test_divider_keeps_the_meter_pin_in_range():
    """5.5 V (USB's upper limit is 5.25 V, USB 2.0; more from poor supplies) divided stays under the ADC's 3.1 V."""
    for board in BOARDS:
        assert 5.5 / board.POWER["divider"] <= 3.1
    assert boards.load("s3_tft").POWER["divider"] == (100 + 100) / 100


@each
def test_cautions_are_on_every_page(board):
    page = pages.building(board)
    for word in ("Isolate", "Polarity", "Fuse", "Batteries", "Heat", "Strain", "never for anything that can injure",
                 "licensed electrician", "local codes"):
        assert word in page, word
    assert "never for anything that can injure" in pages.wiring(board)
    assert "estimate" in pages.parts_list(board)


@each
def test_every_unit_has_its_step(board):
    steps = re.findall(r"^\d+\. \*\*(.+?)\*\*", pages.building(board), re.M)
    assert steps == ["Controller", *[unit["title"] for unit in nets.units(board)], "Case"]


def test_a_moved_pin_moves_in_table_and_picture():
    base = boards.load("pico_oled")
    data = {key: value for key, value in vars(base).items() if key.isupper()}
    moved = types.SimpleNamespace(**{**data, "BUZZER": 8})
    assert "| GP8, pin 11 |" in pages.wiring(moved) and "| GP8, pin 11 |" not in pages.wiring(base)
    assert "GP8 · pin 11" in command.picture.draw(moved)
