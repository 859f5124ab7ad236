"""SSD1306 and SH1106: our drivers and emulators, held right by the CircuitPython display libraries."""

import random

import framebuf
import pytest
from adafruit_displayio_sh1106 import SH1106 as SH_LIBRARY
from adafruit_displayio_ssd1306 import SSD1306 as SSD_LIBRARY

from sim import panels
from sim.panels import bus, oled, sh1106, ssd1306
from tests.panels import displaylib

LIBS = {"ssd1306": (SSD_LIBRARY, ssd1306, {}), "sh1106": (SH_LIBRARY, sh1106, {"colstart": 2})}


def a_picture(seed=7):
    """Rows of 0 and 1 with nothing symmetrical about them: noise, a frame, a wedge."""
    dice = random.Random(seed)
    rows = [[int(dice.random() < 0.2) for _ in range(128)] for _ in range(64)]
    for x in range(128):
        rows[0][x] = 1
        rows[x // 4][x] = 1
    for y in range(10, 20):
        rows[y][5:30] = [1] * 25
    return rows


def drawn(panel, rows):
    """Draw rows with framebuf into a panel's buffer and show them."""
    fb = framebuf.FrameBuffer(panel.buffer, 128, panel.rows, framebuf.MONO_VLSB)
    for top in range(0, len(rows), panel.rows):
        for y, row in enumerate(rows[top:top + panel.rows]):
            for x, lit in enumerate(row):
                fb.pixel(x, y, lit)
        panel.show(top, top + panel.rows)


@pytest.fixture(autouse=True)
def _no_waits(monkeypatch):
    monkeypatch.setattr("busdisplay.time.sleep", lambda _s: None)


@pytest.mark.parametrize("over", ["i2c", "spi"])
@pytest.mark.parametrize("name", LIBS)
def test_same_picture_from_the_library_and_from_us(name, over, monkeypatch):
    """Source: adafruit-circuitpython-displayio-ssd1306 / -sh1106 on adafruit-blinka-displayio."""
    library, module, options = LIBS[name]
    theirs = module.Screen()
    wire = displaylib.i2c(theirs) if over == "i2c" else displaylib.spi(theirs, monkeypatch)
    display = library(wire, width=128, height=64, auto_refresh=False, **options)
    rows = a_picture()
    displaylib.show(display, rows, [0, 0xFFFFFF])
    panel, ours = panels.make(name, over=over)
    drawn(panel, rows)
    assert ours.bits() == theirs.bits() == [bytes(row) for row in rows]
    assert ours.unknown == []
    # The SH1106 library sends 20h 20h at start-up, which its chip's datasheet does not have.
    assert theirs.unknown == ([0x20, 0x20] if name == "sh1106" else [])


@pytest.mark.parametrize("name", LIBS)
def test_only_the_pages_asked_for_are_sent(name):
    panel, screen = panels.make(name)
    drawn(panel, a_picture(1))
    before, sent = screen.bits(), screen.bytes
    panel.buffer[:] = bytes(128) + b"\xff" * 128
    screen.touched()
    panel.show(16, 24, 8)  # the second half of the buffer
    assert screen.touched() == (16, 24)
    after = screen.bits()
    assert after[:16] == before[:16] and after[24:] == before[24:]
    assert after[16:24] == [b"\1" * 128] * 8
    # Address and control byte, then 3 commands; address and control byte, then 128 columns.
    assert screen.bytes - sent == 2 + 3 + 2 + 128


@pytest.mark.parametrize("name", LIBS)
def test_upside_down(name):
    rows = a_picture(2)
    panel, screen = panels.make(name, upside_down=True)
    drawn(panel, rows)
    assert screen.bits() == [bytes(row[::-1]) for row in rows[::-1]]


@pytest.mark.parametrize("name", LIBS)
def test_brightness_and_dark(name):
    panel, screen = panels.make(name)
    drawn(panel, a_picture(3))
    lit = screen.bits()
    seen = []
    for percent in (1, 20, 100):
        panel.brightness(percent)
        seen.append(screen.light)
        assert screen.bits() == lit
    assert seen == sorted(seen) and seen[0] > 0 and seen[-1] == 100
    panel.brightness(0)
    assert screen.dark and screen.rgb() == bytes(128 * 64 * 3)
    panel.brightness(1)
    assert screen.bits() == lit


def test_32_rows():
    panel, screen = panels.make("ssd1306", height=32)
    rows = a_picture(4)[:32]
    drawn(panel, rows)
    assert screen.bits() == [bytes(row) for row in rows]


def test_the_emulator_refuses_what_the_datasheet_forbids():
    chip = ssd1306.Screen()
    with pytest.raises(oled.Misuse, match="control byte"):
        chip.packet(b"\x01\xae")
    with pytest.raises(oled.Misuse, match="column range"):
        chip.packet(b"\x00\x21\x05\x90")
    with pytest.raises(oled.Misuse, match="data inside command"):
        chip.receive(b"\x81", 0)
        chip.receive(b"\x00", 1)
    with pytest.raises(oled.Misuse, match="column 132"):
        sh1106.Screen().packet(b"\x00\x04\x18")
    with pytest.raises(OSError, match="0x3d"):
        bus.I2c().writeto(0x3D, b"")


def test_without_the_pump_the_glass_stays_dark():
    chip = ssd1306.Screen()
    chip.packet(b"\x00\xaf")
    assert chip.dark  # datasheet, application note on the charge pump: 8Dh 14h, then AFh
    chip.packet(b"\x00\x8d\x14")
    assert not chip.dark


def test_addressing_modes_of_20h():
    """SSD1306 datasheet 10.1.3: horizontal goes along a row of pages, vertical down the pages first."""
    for mode, places in ((0, [(2, 10), (2, 11), (3, 10), (3, 11), (2, 10)]),
                         (1, [(2, 10), (3, 10), (2, 11), (3, 11), (2, 10)])):
        chip = ssd1306.Screen()
        chip.packet(bytes((0, 0x20, mode, 0x21, 10, 11, 0x22, 2, 3)))
        for value, (page, column) in enumerate(places, 1):
            chip.packet(bytes((0x40, value)))
            assert chip.memory[page][column] == value


def test_the_precharge_of_the_ssd1306_is_the_library_s():
    """Source: the start-up commands of adafruit-circuitpython-displayio-ssd1306 (command, count, data)."""
    from adafruit_displayio_ssd1306 import _INIT_SEQUENCE

    from hal.panels.ssd1306 import SSD1306

    class Bus:
        sent = b""

        def commands(self, data):
            self.sent += bytes(data)

        def data(self, _data):
            """Pixels."""

    sent = Bus()
    SSD1306(sent, lambda _ms: None).begin()
    for command in (0xD5, 0xD9, 0xDA, 0x8D, 0xA8):
        at = _INIT_SEQUENCE.index(bytes((command, 1)))
        assert sent.sent[sent.sent.index(command) + 1] == _INIT_SEQUENCE[at + 2], hex(command)
