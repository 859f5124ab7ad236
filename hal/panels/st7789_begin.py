"""Starts an ST7789V: the window that its glass shows, and the commands from reset to a picture. Used by st7789.

Commands used (Sitronix ST7789V datasheet, chapter 9): SWRESET 01h, SLPOUT 11h, NORON 13h, INVOFF/INVON 20h/21h,
DISPON 29h, CASET 2Ah, MADCTL 36h, COLMOD 3Ah.
"""

from micropython import const

_SWRESET = const(0x01)
_SLPOUT = const(0x11)
_NORON = const(0x13)
_INVOFF = const(0x20)
_DISPON = const(0x29)
_CASET = const(0x2A)
_MADCTL = const(0x36)
_COLMOD = const(0x3A)
_BGR = const(0x08)
_COLUMNS = const(240)  # the chip's memory
_PAGES = const(320)
_ROTATIONS = {0: 0x00, 90: 0x60, 180: 0xC0, 270: 0xA0}  # MADCTL: MY 80h, MX 40h, MV 20h


def corner(width, height, rotation, left, top):
    """The window's first column and row address, after MADCTL has rotated them."""
    across, down = (width, height) if rotation in (0, 180) else (height, width)
    right, under = _COLUMNS - left - across, _PAGES - top - down
    return {0: (left, top), 90: (top, right), 180: (right, under), 270: (under, left)}[rotation]


def begin(panel, reset, rotation, inverted, bgr):
    """Start a panel, from reset to a picture. Takes about 130 ms."""
    if reset:
        reset(0)
        panel.wait(1)
        reset(1)
    else:
        panel.command(_SWRESET)
    panel.wait(120)
    panel.command(_SLPOUT)
    panel.since = panel.now()
    panel.wait(6)
    panel.command(_COLMOD, b"\x55")
    panel.command(_MADCTL, bytes((_ROTATIONS[rotation] | (_BGR if bgr else 0),)))
    panel.command(_INVOFF + bool(inverted))
    panel.command(_NORON)
    panel.window(_CASET, panel.x, panel.even)
    for top in range(0, panel.height, panel.rows):
        panel.show(top, min(panel.height, top + panel.rows))
    panel.command(_DISPON)
