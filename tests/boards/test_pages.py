"""The pages made from the board files: up to date, complete, with their cautions."""

import re
import types

import pytest

import boards
import boards.__main__ as command
from boards import building, chips, circuit, modules, nets, pages, parts

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
        if pin not in modules.fixed(board) and not what.endswith(chips.OPEN):
            place = modules.place(board.MODULE, pin)
            goes = f"| {modules.name(board.MODULE, pin)}, {modules.number(board.MODULE, *place)} |"
            assert page.count(goes) == 1, what


@each
def test_pins_that_must_stay_open_are_named(board):
    """The ESP32-S3's clock pins of the port that listens, and its strapping and flash pins."""
    page = pages.wiring(board)
    opened = chips.opened(board)
    assert bool(opened) == ("must stay open" in page) == (board.CHIP == "esp32s3")
    for pin in (*opened, *((0, 3, 45, 46) if opened else ())):
        assert re.search(rf"IO{pin}\b[^|]*(must stay open|So must)|So must[^|]*IO{pin}\b", page), pin


@each
def test_the_parts_list_has_every_component(board):
    """As many pieces as the circuit has, and the refs of all of them."""
    page = pages.parts_list(board)
    for key, count in parts.needed(board).items():
        assert f"| {parts.PARTS[key].title} | {count} | " in page
    for component in circuit.components(board):
        assert component.part in {**parts.needed(board), **dict.fromkeys(parts.OPTIONS)}
        assert component.part in parts.OPTIONS or re.search(rf"[ ,]{component.ref}[ ,]", page), component.ref


@each
def test_screws_are_counted_where_they_go(board):
    """By the case: a column, a post, a hole each; two screws an XLR."""
    have = parts.needed(board)
    assert (have["m3x35"], have["insert"], have["m25w"], have["m25"]) == (4, 4, 6, 4)
    assert have["m3x12"] == 2 * (have.get("xlr_out", 0) + have.get("xlr_in", 0))


def test_divider_keeps_the_meter_pin_in_range():
    """5.5 V (USB's upper limit is 5.25 V, USB 2.0; more from poor supplies) divided stays under the ADC's 3.1 V."""
    for board in BOARDS:
        assert 5.5 / board.POWER["divider"] <= 3.1
    assert boards.load("s3_tft").POWER["divider"] == (100 + 100) / 100


@each
def test_cautions_are_on_every_page(board):
    page = building.building(board)
    for word in ("Isolate", "Polarity", "Fuse", "Batteries", "Heat", "Strain", "never for anything that can injure",
                 "licensed electrician", "local codes"):
        assert word in page, word
    assert "never for anything that can injure" in pages.wiring(board)
    assert "estimate" in pages.parts_list(board)


@each
def test_every_unit_has_its_step(board):
    steps = re.findall(r"^\d+\. \*\*(.+?)\*\*", building.building(board), re.M)
    assert steps == ["Controller", *[unit["title"] for unit in nets.units(board)], "Case"]


def test_a_moved_pin_moves_in_table_and_picture():
    base = boards.load("pico_oled")
    data = {key: value for key, value in vars(base).items() if key.isupper()}
    moved = types.SimpleNamespace(**{**data, "BUZZER": 8})
    assert "| GP8, pin 11 |" in pages.wiring(moved) and "| GP8, pin 11 |" not in pages.wiring(base)
    assert "GP8 yellow" in command.picture.draw(moved)
