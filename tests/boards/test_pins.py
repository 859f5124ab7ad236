"""Board files: no pin twice, each pin able, and the same data on MicroPython."""

import pathlib
import subprocess
import types

import pytest

import boards
import boards.modules
from boards import chips

BOARDS = [boards.load(name) for name in boards.NAMES]
ROOT = pathlib.Path(__file__).parents[2]


def changed(board, **fields):
    """A copy of a board's data with some fields replaced."""
    data = {key: value for key, value in vars(board).items() if key.isupper()}
    return types.SimpleNamespace(**{**data, **fields})


@pytest.mark.parametrize("board", BOARDS, ids=boards.NAMES)
def test_every_board_is_in_order(board):
    assert chips.problems(board) == []


def test_every_file_is_in_the_list():
    files = {path.stem for path in (ROOT / "boards").glob("*_*.py") if not path.stem.startswith("__")}
    assert files == set(boards.NAMES) == {board.NAME for board in BOARDS}


def test_a_board_with_wifi_has_less_room():
    """MicroPython's ports/rp2/boards, RPI_PICO2 and RPI_PICO2_W, mpconfigboard.cmake of August 2026: the bytes of the
    file system."""
    sizes = [boards.load(name).FLASH_BLOCKS * 4096 for name in ("pico2_tft", "pico2_w_tft")]
    assert sizes == [3_145_728, 2_621_440]


def test_unknown_board_names_the_known():
    with pytest.raises(ValueError, match="no board called 'toaster'; there are: pico2_tft"):
        boards.load("toaster")


PICO = boards.load("pico2_tft")
S3 = boards.load("s3_tft")
WIFI = boards.load("pico2_w_tft")


@pytest.mark.parametrize("board, fields, said", [
    (PICO, {"BUZZER": 18}, "used by panel sck and by buzzer"),
    (PICO, {"PANEL": {**PICO.PANEL, "pins": {**PICO.PANEL["pins"], "sck": 8}}}, "can't be spi sck"),
    (PICO, {"PANEL": {**PICO.PANEL, "id": 1}}, "can't be spi mosi 1"),
    (PICO, {"POWER": {**PICO.POWER, "adc": 16}}, "can't be adc"),
    (PICO, {"FOOT": 24}, "wired to the usb sense"),
    (PICO, {"FOOT": 23}, "not on the module's pin rows"),
    (PICO, {"FOOT": 30}, "can't be gpio"),
    (PICO, {"BUZZER": 23}, "share a PWM slice"),
    (PICO, {"KNOB": {"a": 11, "b": 10, "detent": 4}}, "pin after knob a"),
    (PICO, {"LINES": (*PICO.LINES, {"tx": 8, "rx": 9, "drive": 3, "uart": 1, "use": "out"})}, "3 ports; the two PIOs"),
    (WIFI, {"LED": 25}, "GPIO 25 for led: wired to the radio"),
    (WIFI, {"POWER": {**WIFI.POWER, "adc": 29}}, "GPIO 29 for supply: wired to the radio"),
    (WIFI, {"POWER": {**WIFI.POWER, "usb": 24}}, "GPIO 24 for usb sense: wired to the radio"),
    (WIFI, {"FOOT": 23}, "GPIO 23 for foot switch: wired to the radio"),
    (S3, {"BUZZER": 45}, "strapping"),
    (S3, {"BUZZER": 20}, "USB"),
    (S3, {"BUZZER": 27}, "flash"),
    (S3, {"BUZZER": 35}, "PSRAM"),
    (S3, {"POWER": {**S3.POWER, "adc": 15}}, "can't be adc"),
    (S3, {"LINES": ({**S3.LINES[0], "uart": 0},)}, "can't be uart tx 0"),
])
def test_a_wrong_pin_is_named(board, fields, said):
    assert any(said in problem for problem in chips.problems(changed(board, **fields)))


def their_rp2040():
    """{(kind, signal): {(bus, pin)}} of the CircuitPython compatibility layer (adafruit_blinka)."""
    theirs = pytest.importorskip("adafruit_blinka.microcontroller.rp2040.pin")
    number = {id(pin): int(name[2:]) for name, pin in vars(theirs).items() if name.startswith("GP")}
    found = {}
    for kind, table, signals in (("spi", theirs.spiPorts, ("sck", "mosi", "miso")),
                                 ("uart", theirs.uartPorts, ("tx", "rx")),
                                 ("i2c", theirs.i2cPorts, ("scl", "sda"))):
        for bus, *pins in table:
            for signal, pin in zip(signals, pins, strict=True):
                found.setdefault((kind, signal), set()).add((bus, number[id(pin)]))
    return found


@pytest.mark.parametrize("chip", ["rp2040", "rp2350"])
def test_rp2_tables_against_an_independent_one(chip):
    """Source: adafruit_blinka's RP2040 table. It leaves out 23 to 25 and 29 (not brought out on a Pico) here
    and there, and above 21 SPI pins that lack a full set. The RP2350 keeps them (datasheet, from memory)."""
    for (kind, signal), pairs in their_rp2040().items():
        every = [(bus, pin) for bus in (0, 1) for pin in range(30)]
        ours = {(bus, pin) for bus, pin in every if chips.can(chip, pin, f"{kind} {signal}", bus)}
        left_out = range(22, 30) if kind == "spi" else (23, 24, 25, 29)
        assert pairs <= ours
        assert [pair for pair in ours - pairs if pair[1] not in left_out] == []


def test_micropython_reads_the_same_data():
    code = "import boards\nfor n in boards.NAMES:\n m = boards.load(n)\n"
    code += " print(m.NAME, m.PANEL, m.LINES, m.KEY_PINS)"
    vm = [str(ROOT / ".venv/bin/micropython"), "-c", code]
    said = subprocess.run(vm, cwd=ROOT, env={"MICROPYPATH": "."}, capture_output=True, text=True)
    for line, board in zip(said.stdout.splitlines(), BOARDS, strict=True):
        name, rest = line.split(" ", 1)
        assert name == board.NAME
        assert sorted(rest) == sorted(f"{board.PANEL} {board.LINES} {board.KEY_PINS}")


PICO = {"KNOB": {"a": 10, "b": 11, "detent": 4}, "KEY_PINS": (12, 13, 14, 15), "FOOT": 7, "BUZZER": 9, "LED": 25,
        "POWER": {"adc": 29, "divider": 3.0, "usb": 24}}
TFT = {"sck": 18, "mosi": 19, "cs": 17, "dc": 20, "rst": 21, "bl": 22}
OUT = {"tx": 0, "rx": 1, "drive": 2, "uart": 0, "use": "out"}
IN = {"tx": 4, "rx": 5, "drive": 6, "uart": 1, "use": "in"}
S3 = {"KNOB": {"a": 1, "b": 2, "detent": 4}, "KEY_PINS": (42, 41, 40, 39), "FOOT": 47, "BUZZER": 21, "LED": None,
      "POWER": {"adc": 4, "divider": 2.0, "usb": None}}


@pytest.mark.parametrize(("name", "rest", "panel", "lines"), [
    ("pico2_tft", PICO, TFT, (OUT, IN)), ("pico_tft", PICO, TFT, (OUT, IN)),
    ("pico_oled", PICO, {"sda": 16, "scl": 17}, (OUT,)),
    ("s3_tft", S3, {"sck": 12, "mosi": 11, "cs": 10, "dc": 13, "rst": 14, "bl": 9},
     ({"tx": 16, "rx": 17, "drive": 18, "uart": 1, "use": "out"},
      {"tx": 5, "rx": 6, "drive": 7, "uart": 2, "use": "in", "clock": (8, 15)})),
])
def test_a_device_that_was_built_stays_wired(name, rest, panel, lines):
    """Source: the project's own choice. Whoever has built one has soldered it so."""
    board = boards.load(name)
    assert board.KEYS == ("push", "back", "look", "black")
    assert board.PANEL["pins"] == panel and lines == board.LINES
    assert {part: getattr(board, part) for part in rest} == rest
