"""Draws text and shapes into a panel's buffer and sends what changed. Made by the app, used by pages."""

from array import array

import framebuf
from micropython import const

from firmware.drop import drop
from firmware.ui import theme

try:  # machine code where the port has an emitter for it
    from firmware.ui import glyphs_viper as glyphs
    from firmware.ui.sums_viper import checksum
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from firmware.ui import glyphs
    from firmware.ui.sums import checksum

SMALL = const(0)
BODY = const(1)
BIG = const(2)  # on a colour panel: figures, signs and letters without accents
LEFT = const(0)
CENTRE = const(1)
RIGHT = const(2)
_BAND = const(8)  # rows; a page of the small panels


def _fonts(big, plain):
    """The three sizes' data, for a colour panel or a small one. plain: without accented letters, which are nearly half
    of a font."""
    found = []
    for name in ("small", "body", "figures") if big else ("tiny", "small", "body"):
        module = "firmware.ui.font_" + name + ("_plain" if plain and name != "figures" else "")
        found.append(__import__(module, None, None, ("DATA",)).DATA)
        drop(module)
    return found


class Canvas:
    """A panel to draw on. width, height: pixels; bits: 1 or 4; big: a colour panel, room for more.

    Inks are those of firmware.ui.theme. Nothing is drawn outside the panel.
    """

    def __init__(self, panel):
        self.width, self.height, self.bits = panel.width, panel.height, panel.bits
        self.big = panel.bits == 4
        self._panel = panel
        self._fb = framebuf.FrameBuffer(panel.buffer, panel.width, panel.height,
                                        framebuf.GS4_HMSB if self.big else framebuf.MONO_VLSB)
        self._size = (panel.width + 1 & ~1 if self.big else panel.width) << 16 | panel.height
        self._draw = glyphs.draw4 if self.big else glyphs.draw1
        self._data = _fonts(self.big, True)
        self._plain = True  # until a text has an accented letter
        # The measures that all pages are laid out by: a list's row, title line, foot and side margin.
        self.row = self._data[BODY][0] + (2 if self.big else 0)
        self.head = self.row + 1 if self.big else self._data[SMALL][0]
        self.foot = 2 * self._data[SMALL][0] + 2 if self.big else self._data[SMALL][0] + 1
        self.pad = 6 if self.big else 2
        self._colours = array("H", theme.COLOURS + (0,) * theme.SWATCHES)
        self._levels = bytearray(theme.SWATCHES)
        bands = (panel.height + _BAND - 1) // _BAND
        self._touched = bytearray(b"\1" * bands)
        self._swatches = bytearray(bands)  # bit n: swatch n is in the band
        self._sent = array("i", [-1] * bands)
        self._rows = memoryview(panel.buffer)
        if self.big:
            panel.palette(self._colours)

    def _ink(self, ink):
        """The buffer's own value for an ink."""
        return ink if self.big else theme.LIGHT >> ink & 1 if ink < theme.SWATCH0 else 1

    def _touch(self, y, h):
        touched = self._touched
        for band in range(max(0, y) // _BAND, (min(self.height, y + h) + _BAND - 1) // _BAND):
            touched[band] = 1

    def line_height(self, font):
        """Pixels from one line of text to the next."""
        return self._data[font][0]

    def baseline(self, font):
        """Pixels from the top of a line to where the letters stand."""
        return self._data[font][1]

    def _font(self, s, font):
        """The data to write a text with. The first accented letter loads whole fonts in place of the plain ones; where
        there is no room for them it shows as a question mark."""
        if self._plain and glyphs.accented(s):
            self._plain = False
            try:
                self._data = _fonts(self.big, False)
            except MemoryError:
                pass
        return self._data[font]

    def measure(self, s, font):
        """Width of a text in pixels."""
        return glyphs.measure(self._font(s, font), s, len(s))

    def text(self, s, x, y, font, ink, paper=None, width=None, align=LEFT):
        """Write a line with its top left corner at x, y; paper: ink behind the whole width, or None.

        width: of the field, pixels (None: to the panel's edge, and align then has x as its left edge, middle
        or right edge); a text too long ends in an ellipsis. -> the width drawn.
        """
        data = self._font(s, font)
        count = len(s)
        long = glyphs.measure(data, s, count)
        dots = 0
        if width is None:
            x = max(0, x - long * align // 2)
            width = min(long, self.width - x)
        if long > width:
            dots = glyphs.measure(data, "…", 1)
            count = glyphs.fit(data, s, width - dots)
            long = glyphs.measure(data, s, count) + dots
            if long > width:
                count = dots = long = 0
        if paper is not None:
            self._fb.fill_rect(x, y, width, data[0], self._ink(paper))
        self._touch(y, data[0])
        ink = self._ink(ink)
        at = x + (width - long) * align // 2
        at = self._draw(self._fb, self._size, data, s, count, at, y, ink)
        if dots:
            self._draw(self._fb, self._size, data, "…", 1, at, y, ink)
        return long

    def fill(self, ink):
        """The whole screen."""
        self._fb.fill(self._ink(ink))
        for band in range(len(self._touched)):
            self._touched[band] = 1
            self._swatches[band] = 0

    def box(self, x, y, w, h, ink):
        """A filled box."""
        self._fb.fill_rect(x, y, w, h, self._ink(ink))
        self._touch(y, h)

    def frame(self, x, y, w, h, ink):
        """A box's outline, one pixel wide."""
        self._fb.rect(x, y, w, h, self._ink(ink))
        self._touch(y, h)

    def line(self, x1, y1, x2, y2, ink):
        """A straight line, both ends drawn."""
        self._fb.line(x1, y1, x2, y2, self._ink(ink))
        self._touch(min(y1, y2), abs(y2 - y1) + 1)

    def bar(self, x, y, w, h, share, ink, paper):
        """A level bar that grows to the right. share: 0..65536 of the whole."""
        full = w * share >> 16
        if not self.big:  # with one bit, ink and paper may look the same
            self.frame(x, y, w, h, ink)
            self._fb.fill_rect(x + 1, y + 1, w - 2, h - 2, 0)
            self._fb.fill_rect(x + 1, y + 1, (w - 2) * share >> 16, h - 2, 1)
            return
        self._fb.fill_rect(x, y, full, h, ink)
        self._fb.fill_rect(x + full, y, w - full, h, paper)
        self._touch(y, h)

    def tint(self, index, r, g, b):
        """The colour of swatch 0..7, 0..255 each, as a display shows the lamp's light."""
        colour = theme.rgb565(r, g, b)
        level = max(r, g, b)
        if self._colours[theme.SWATCH0 + index] == colour and self._levels[index] == level:
            return
        self._colours[theme.SWATCH0 + index] = colour
        self._levels[index] = level
        if self.big:
            self._panel.palette(self._colours)
            for band in range(len(self._touched)):
                self._touched[band] |= self._swatches[band] >> index & 1

    def swatch(self, x, y, w, h, index):
        """A framed box in the colour of swatch 0..7; with one bit, filled from below by its brightness."""
        self._touch(y, h)
        if self.big:
            self._fb.fill_rect(x, y, w, h, theme.SWATCH0 + index)
            self._fb.rect(x, y, w, h, theme.EDGE)  # a lamp that is out still has its place
            for band in range(max(0, y) // _BAND, (min(self.height, y + h) + _BAND - 1) // _BAND):
                self._swatches[band] |= 1 << index
            return
        full = (h - 2) * self._levels[index] // 255
        self._fb.fill_rect(x, y, w, h, 0)
        self._fb.rect(x, y, w, h, 1)
        self._fb.fill_rect(x + 1, y + h - 1 - full, w - 2, full, 1)

    def flush(self, budget_rows=16):
        """Send changed bands from the top, about budget_rows rows of them. -> True when none is left."""
        for band in range(len(self._touched)):
            if self._touched[band]:
                if budget_rows <= 0:
                    return False
                budget_rows -= _BAND if self._send(band) else 1  # looking takes an eighth of sending
        return True

    def _send(self, band):
        """Send a band unless the panel has it already. -> True if sent."""
        self._touched[band] = 0
        stride = self._size >> 16
        length = stride * _BAND >> 1 if self.big else stride
        total = checksum(self._rows, band * length, length)
        if self._swatches[band]:
            for index in range(theme.SWATCHES):
                if self._swatches[band] >> index & 1:
                    total = (total * 31 + self._colours[theme.SWATCH0 + index]) & 0x1FFFFFF
        if total == self._sent[band]:
            return False
        self._sent[band] = total
        self._panel.show(band * _BAND, min(self.height, band * _BAND + _BAND))
        return True

    def resend(self):
        """Forget what the panel has: the next flushes send everything, as after the panel lost power."""
        for band in range(len(self._touched)):
            self._touched[band] = 1
            self._sent[band] = -1
