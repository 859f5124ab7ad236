"""The ST7789: our driver and emulator, held right by the datasheet and by the CircuitPython library."""

import random

import framebuf
import pytest
from adafruit_st7789 import ST7789 as LIBRARY

from sim import panels
from sim.panels import st7789
from sim.panels.colours import rgb888
from tests.panels import displaylib

COLOURS = [0x000000, 0xFF0000, 0x00FF00, 0x0000FF, 0xFFFFFF, 0xF8A050]
RGB565 = [(c >> 19 & 31) << 11 | (c >> 10 & 63) << 5 | c >> 3 & 31 for c in COLOURS] + [0] * 10


def a_picture(width, height):
    """Rows of colour indices without symmetry."""
    dice = random.Random(width)
    rows = [[0] * width for _ in range(height)]
    for _ in range(60):
        x, y, index = dice.randrange(width - 20), dice.randrange(height - 9), dice.randrange(1, 6)
        for row in rows[y:y + 9]:
            row[x:x + 20] = [index] * 20
    return rows


def ours(rows, **options):
    """The picture through our driver. -> (panel, screen)"""
    panel, screen = panels.make("st7789", width=len(rows[0]), height=len(rows), **options)
    fb = framebuf.FrameBuffer(panel.buffer, panel.width, panel.rows, framebuf.GS4_HMSB)
    panel.palette(RGB565)
    for top in range(0, panel.height, panel.rows):
        band = rows[top:top + panel.rows]
        for y, row in enumerate(band):
            for x, index in enumerate(row):
                fb.pixel(x, y, index)
        panel.show(top, top + len(band))
    panel.brightness(100)
    return panel, screen


def meant(rows):
    """The bytes that rgb() should have."""
    return b"".join(rgb888(RGB565[index]) for row in rows for index in row)


@pytest.mark.parametrize(("width", "height", "rotation", "turn"), [(240, 320, 0, 180), (320, 240, 90, 270)])
def test_same_picture_from_the_library_and_from_us(width, height, rotation, turn, monkeypatch):
    """Source: adafruit-circuitpython-st7789 on adafruit-blinka-displayio, which turns by software.

    It writes MADCTL C0h, both ways mirrored: upright on glass turned by 180 degrees; its rotation turns the
    picture clockwise, so that the glass must be turned that much further the other way.
    """
    monkeypatch.setattr("busdisplay.time.sleep", lambda _s: None)
    theirs = st7789.Screen(width, height, turn)
    display = LIBRARY(displaylib.spi(theirs, monkeypatch), width=width, height=height, rotation=rotation,
                        auto_refresh=False)
    theirs.pwm.duty_u16(65535)
    rows = a_picture(width, height)
    displaylib.show(display, rows, COLOURS)
    _, screen = ours(rows, rotation=turn)
    assert theirs.rgb() == screen.rgb() == meant(rows)


@pytest.mark.parametrize(("rotation", "width", "height", "left", "top"), [
    (0, 240, 320, 0, 0), (90, 320, 240, 0, 0), (180, 240, 320, 0, 0), (270, 320, 240, 0, 0),
    (0, 135, 240, 52, 40), (90, 240, 135, 52, 40), (180, 135, 240, 52, 40), (270, 240, 135, 52, 40),
    (180, 240, 240, 0, 0), (90, 240, 240, 0, 0),
])
def test_every_way_to_hold_the_glass(rotation, width, height, left, top):
    rows = a_picture(width, height)
    _, screen = ours(rows, rotation=rotation, left=left, top=top)
    assert screen.rgb() == meant(rows)


@pytest.mark.parametrize("options", [{"bgr": True}, {"inverted": False}, {"bgr": True, "inverted": False}])
def test_other_glass(options):
    rows = a_picture(320, 240)
    assert ours(rows, **options)[1].rgb() == meant(rows)


def test_commands_sent():
    """Sitronix ST7789V datasheet 9.1: out of sleep, 16 bits a pixel, turned, inverted, normal, then on."""
    _, screen = panels.make("st7789")
    assert screen.names == [
        "SLPOUT", "COLMOD", "MADCTL", "INVON", "NORON", "CASET", *["RASET", "RAMWR"] * 15, "DISPON"]


def test_without_a_reset_pin_it_resets_by_command():
    from hal.panels.st7789 import ST7789
    from sim.panels import bus

    screen = st7789.Screen()
    spi, cs, dc = bus.Spi(), bus.Pin(1, screen.select), bus.Pin()
    spi.attach(screen, cs, dc)
    ST7789(spi, cs, dc, None, lambda: 500, lambda _ms: None).begin()
    assert screen.names[0] == "SWRESET"


def test_bytes_of_a_band():
    panel, screen = panels.make("st7789")
    sent = screen.bytes
    screen.touched()
    panel.show(80, 88)
    assert screen.touched() == (80, 88)
    assert screen.bytes - sent == 1 + 4 + 1 + 320 * 8 * 2  # RASET, its range, RAMWR, pixels
    panel.show(3, 4)
    assert screen.touched() == (3, 4)


def test_any_rows_of_the_buffer_go_to_any_rows_of_the_screen():
    panel, screen = ours(a_picture(320, 240))
    before = screen.rgb()
    panel.buffer[:] = b"".join(bytes([n % 6 * 17]) * 160 for n in range(16))
    panel.show(100, 107, 9)
    row = 3 * 320
    assert screen.rgb() == (before[:100 * row] + b"".join(rgb888(RGB565[n % 6]) * 320 for n in range(9, 16))
                            + before[107 * row:])


def test_brightness_sleeps_and_keeps_the_picture():
    """Datasheet 9.1.10, 9.1.11: memory kept; 5 ms before the next command, 120 ms before the opposite."""
    clock = [1000]
    rows = a_picture(320, 240)

    def wait(ms):
        clock[0] += ms

    panel, screen = ours(rows, now=lambda: clock[0], wait=wait)
    wait(200)
    panel.brightness(0)
    assert screen.names[-1] == "SLPIN" and screen.light == 0
    assert screen.rgb() == bytes(320 * 240 * 3)
    for pause in (0, 3, 50, 300):
        wait(pause)
        panel.brightness(1)  # the emulator raises Misuse where a wait is missing
        assert round(screen.light) == 1
        assert screen.rgb() == meant(rows)
        panel.show(232, 240, 8)  # as it was
        panel.brightness(0)
        assert screen.light == 0


def test_the_emulator_refuses_what_the_datasheet_forbids():
    clock = [0]
    screen = st7789.Screen(now=lambda: clock[0])
    for data, message in (((b"\x99",), "no command"), ((b"\x3a", b"\x36"), "needs 1 parameters")):
        with pytest.raises(st7789.Misuse, match=message):
            for command in data:
                screen.receive(command, 0)
    screen = st7789.Screen(now=lambda: clock[0])
    screen.receive(b"\x11", 0)
    with pytest.raises(st7789.Misuse, match="within 5 ms"):
        screen.receive(b"\x29", 0)
    clock[0] = 50
    with pytest.raises(st7789.Misuse, match="within 120 ms"):
        screen.receive(b"\x10", 0)
    clock[0] = 500
    screen.receive(b"\x2a", 0)
    with pytest.raises(st7789.Misuse, match="outside 0..239"):
        screen.receive(b"\x00\x00\x01\x3f", 1)
    screen.receive(b"\x3a", 0)
    screen.receive(b"\x66", 1)
    screen.receive(b"\x2c", 0)
    with pytest.raises(st7789.Misuse, match="16 bits a pixel"):
        screen.receive(b"\0\0\0", 1)


def test_expand_against_the_plain_formula():
    """Two pixels a byte, the left one in the high nibble (MicroPython's GS4_HMSB), bytes high first."""
    from array import array

    from hal.panels.expand import expand, pairs

    table, out = array("I", bytes(1024)), array("I", bytes(8))
    pairs(range(0x1000, 0x1010), table)
    expand(b"\x00\x0f\x5a\xff", 1, 2, table, out)
    assert out.tobytes() == bytes((0x10, 0x00, 0x10, 0x0F, 0x10, 0x05, 0x10, 0x0A))
