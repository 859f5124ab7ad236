"""Draws a scene, prints what went over the bus. On the VM: `micropython vm_scene.py ROOT/firmware ROOT/hal`.

test_vm.py compares the lines. Where machine code runs, drawing and sending do so with the heap locked.
"""

import sys

if sys.implementation.name == "micropython":
    sys.path.insert(0, sys.argv[1].rsplit("/", 1)[0])

import binascii
from array import array

import micropython

from firmware.ui.frame import canvas, theme
from hal.panels import oled_spi, sh1106, st7789


class Spi:
    """Sums what is written, by D/C level, without allocating."""

    def __init__(self):
        self.level = 1
        self.count = 0
        self.total = 1

    def dc(self, level):
        self.level = level

    def write(self, data):
        """A 24-bit sum that depends on order; array items are taken as bytes."""
        if isinstance(data, array):
            for word in data:
                for shift in (0, 8, 16, 24):
                    self._byte(word >> shift & 255)
        else:
            for byte in data:
                self._byte(byte)

    def _byte(self, byte):
        self.count += 1
        self.total = (self.total * 31 + byte + self.level) & 0xFFFFFF


def nothing(_level):
    """A pin or a wait that does not matter here."""


def scene(c):
    """Every call of the canvas, with strings that need measuring, cutting and signs."""
    big = c.big
    c.fill(theme.PAPER)
    c.text("Light", 2, 0, canvas.SMALL, theme.DIM)
    c.text("Back…ground ½⅓⅔¼⅛ ±∆°", 2, 10, canvas.SMALL, theme.TEXT, theme.PANEL, 100 if big else 60)
    c.text("Kicker →", c.width - 1, 0, canvas.BODY, theme.HOT, None, None, canvas.RIGHT)
    c.text("−1⅓", c.width // 2, 24, canvas.BIG, theme.HOT, None, None, canvas.CENTRE)
    c.text("日本 über", 0, c.height - 12, canvas.SMALL, theme.WARN, theme.PAPER, c.width, canvas.CENTRE)
    c.text("outside", -9, -4, canvas.BODY, theme.TEXT, None, 80)
    c.text("outside", c.width - 20, c.height - 5, canvas.BODY, theme.TEXT, None, 80)
    c.text("W", 3, 3, canvas.BODY, theme.TEXT, None, 2)
    c.bar(4, 30, 60, 6, 40000, theme.HOT, theme.LOW)
    c.frame(2, 28, 64, 10, theme.EDGE)
    c.box(70, 28, 9, 9, theme.EDGE)
    for index in range(8):
        c.tint(index, 255 - index * 30, 100, index * 30)
        c.swatch(4 + index * 12, 44, 10, 12, index)


def panels(spi):
    """The colour panel and the small one on this bus."""
    for panel in (st7789.ST7789(spi, nothing, spi.dc, None, lambda: 0, nothing),
                  sh1106.SH1106(oled_spi.OverSpi(spi, nothing, spi.dc), nothing)):
        panel.begin()
        yield panel


def main():
    """Three redraws on each panel; where the plain twins run, they may allocate."""
    twins = canvas.glyphs.__name__.endswith("viper")
    for number in (0, 1):
        spi = Spi()
        panel = list(panels(spi))[number]
        c = canvas.Canvas(panel)
        c.measure("é", canvas.BODY)  # the whole fonts are loaded at the first accent, once,
        c.measure("1", canvas.BIG)  # and the largest when it is first needed
        for turn in range(3):
            if twins:
                micropython.heap_lock()
            scene(c)
            c.box(0, 40, 20 * turn, 3, theme.TEXT)
            calls = 1
            while not c.flush():
                calls += 1
            if twins:
                micropython.heap_unlock()
            print(turn, calls, spi.count, spi.total, binascii.crc32(panel.buffer))


main()
