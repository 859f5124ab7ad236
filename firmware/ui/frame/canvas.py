"""Text and shapes on a panel. Made by the app, used by pages.

Memory has no room for a whole picture. What pages draw is listed as strokes (strokes.py). The panel's buffer holds a
band of a few rows: `flush` paints the strokes into it and sends it, band by band, where a band has changed.
"""

from array import array

import framebuf
from micropython import const

from firmware.parts import once
from firmware.ui.frame import theme

try:  # machine code where the port has an emitter for it
    from firmware.ui.frame import glyphs_viper as glyphs
    from firmware.ui.frame import strokes_viper as strokes
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from firmware.ui.frame import glyphs, strokes

SMALL = const(0)
BODY = const(1)
BIG = const(2)  # on a colour panel: figures, signs and letters without accents
SIGNS = const(3)  # signs that a page lends, see Canvas.lend_signs
LEFT = const(0)
CENTRE = const(1)
RIGHT = const(2)
_SLICE = const(8)  # rows that are sent at once: a page in the memory of the small panels
_COMPARED = const(4)  # bands that are compared at once
_MOST = const(96)  # strokes: the fullest page has 60 (tests/ui/test_walker.py)
# Kinds of stroke. A stroke's third word is kind | ink << 2 | font << 6 | count of characters << 8.
_BOX = const(0)
_FRAME = const(1)
_TEXT = const(2)


def _load(big, size, plain):
    """The bytes of a font of a large (big) or a small panel. size: SMALL, BODY or BIG."""
    return once("firmware.ui.fonts.load", "data", 3 * (1 - big) + size, plain)


class Canvas:
    """A panel to draw on. width, height: pixels; bits: of a pixel, 1 or 4; big: True on a colour panel, which has room
    for more.

    Inks are those of firmware.ui.frame.theme. Nothing is drawn outside the panel.
    """

    def __init__(self, panel):
        self.width, self.height, self.bits = panel.width, panel.height, panel.bits
        self.big = panel.bits == 4
        self._panel = panel
        self._rows = panel.rows
        self._fb = framebuf.FrameBuffer(panel.buffer, panel.width, panel.rows,
                                        framebuf.GS4_HMSB if self.big else framebuf.MONO_VLSB)
        self._size = (panel.width + 1 & ~1 if self.big else panel.width) << 16 | panel.rows
        self._draw = glyphs.draw4 if self.big else glyphs.draw1
        self._data = [_load(self.big, SMALL, True), _load(self.big, BODY, True), b"", b""]
        self._plain = True  # until a text has an accented letter
        self._drop_big = False  # True: the next fill drops the largest font
        # The measures by which all pages are laid out: heights of a list's row, the title line and the foot; margin.
        self.row = self._data[BODY][0] + (2 if self.big else 0)
        self.head = self.row + 1 if self.big else self._data[SMALL][0]
        self.foot = 2 * self._data[SMALL][0] + 2 if self.big else self._data[SMALL][0] + 1
        self.pad = 6 if self.big else 2
        self._colours = array("H", theme.COLOURS + (0,) * theme.SWATCHES)
        self._levels = bytearray(theme.SWATCHES)
        self._strokes = array("i", bytes(16 * _MOST))
        self._texts = [""] * _MOST
        self._count = 0
        self.crowded = False  # True: a page had more strokes than there is room for
        # Of each slice of rows, the sum of the strokes that the panel shows there.
        self._sent = array("i", [-1] * ((panel.height + _SLICE - 1) // _SLICE))
        # Where `flush` is:
        self._band = 0  # the top row of the band
        self._changed = -1  # bit n: the band's slice n is to be sent; -1: not known yet
        self._next = 0  # the stroke that is painted next
        self._end = 0  # the row at which painting ends
        if self.big:
            panel.palette(self._colours)
        self.fill(theme.PAPER)

    # Machine code on the chips.
    def _ink(self, ink):
        """The buffer's own value for an ink."""
        return ink if self.big else theme.LIGHT >> ink & 1 if ink < theme.SWATCH0 else 1

    # Machine code on the chips.
    def _add(self, kind, x, y, w, h, ink, more=0, look=0, text=""):
        """Add a stroke to the list. Boxes hide what they cover."""
        if w <= 0 or h <= 0:
            return
        if kind == _BOX:
            strokes.hide(self._strokes, self._count, x, y, w, h)
        if self._count == _MOST:
            self._close_up()
        if self._count == _MOST:
            self.crowded = True
            return
        at = 4 * self._count
        data = self._strokes
        data[at] = x + 1024 << 12 | y + 1024
        data[at + 1] = w << 12 | h
        data[at + 2] = kind | ink << 2 | more << 6
        data[at + 3] = look
        self._texts[self._count] = text
        self._count += 1

    def _close_up(self):
        """Take the strokes that are hidden out of the list."""
        data, texts, to = self._strokes, self._texts, 0
        for at in range(self._count):
            if data[4 * at + 1]:
                if to < at:
                    for word in range(4):
                        data[4 * to + word] = data[4 * at + word]
                    texts[to] = texts[at]
                to += 1
        self._cut(to)

    def _cut(self, count):
        """Cut the list to so many strokes, and free the texts of the others."""
        for at in range(count, self._count):
            self._texts[at] = ""
        self._count = count

    def line_height(self, font):
        """Pixels from one line of text to the next."""
        return self._font("", font)[0]

    def baseline(self, font):
        """Pixels from the top of a line to the line on which the letters stand."""
        return self._font("", font)[1]

    # Machine code on the chips.
    def _font(self, s, font):
        """The bytes of a font to write a text with. The first accented letter loads whole fonts in place of the plain
        ones; where memory has no room for them, it shows as a question mark."""
        if self._plain and glyphs.accented(s):
            self._plain = False
            self._data[BIG] = b""
            try:
                self._data[:BIG] = _load(self.big, SMALL, False), _load(self.big, BODY, False)
            except MemoryError:
                pass
        if font == BIG and not self._data[BIG]:
            try:
                self._data[BIG] = _load(self.big, BIG, self._plain)
            except MemoryError:
                self._data[BIG] = self._data[BODY]
        return self._data[font]

    def rest(self):
        """Another page comes: drop the largest font as soon as that page is drawn. Few pages need it."""
        self._drop_big = True

    def lend_signs(self, data):
        """Give the canvas the font SIGNS of the open page, until the next one is given. data: as of glyphs.py."""
        self._data[SIGNS] = data

    # Machine code on the chips.
    def measure(self, s, font):
        """Width of a text in pixels."""
        return glyphs.measure(self._font(s, font), s, len(s))

    # Machine code on the chips.
    def text(self, s, x, y, font, ink, paper=None, width=None, align=LEFT):
        """Write a line with its top left corner at x, y -> the width that is drawn. A text that is too long ends in an
        ellipsis.

        paper: the ink behind the whole width, or None. width: of the field, in pixels; None: to the panel's edge, and x
        is then the left edge, the middle or the right edge of the text, by align.
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
            self._add(_BOX, x, y, width, data[0], self._ink(paper))
        at = x + (width - long) * align // 2
        wide = long - dots
        self._add(_TEXT, at, y, wide, data[0], self._ink(ink), font | count << 2, strokes.text_sum(s), s)
        if dots:
            self._add(_TEXT, at + wide, y, dots, data[0], self._ink(ink), font | 1 << 2, 0, "…")
        return long

    def fill(self, ink):
        """Fill the whole screen."""
        self._cut(0)
        if self._drop_big:
            self._drop_big = False
            self._data[BIG] = b""
        self._add(_BOX, 0, 0, self.width, self.height, self._ink(ink))

    # Machine code on the chips.
    def box(self, x, y, w, h, ink):
        """Draw a filled box."""
        self._add(_BOX, x, y, w, h, self._ink(ink))

    def frame(self, x, y, w, h, ink):
        """Draw the outline of a box, one pixel wide."""
        self._add(_FRAME, x, y, w, h, self._ink(ink))

    def bar(self, x, y, w, h, share, ink, paper):
        """Draw a level bar that grows to the right. share: 0..65536 of the whole."""
        full = w * share >> 16
        if self.big:
            self._add(_BOX, x, y, full, h, ink)
            self._add(_BOX, x + full, y, w - full, h, paper)
            return
        self._add(_BOX, x, y, w, h, 0)  # with one bit, ink and paper may look the same
        self._add(_FRAME, x, y, w, h, self._ink(ink))
        self._add(_BOX, x + 1, y + 1, (w - 2) * share >> 16, h - 2, 1)

    def tint(self, index, r, g, b):
        """Set the colour of a swatch. index: 0..7; r, g, b: 0..255, as a display shows the lamp's light."""
        colour = theme.rgb565(r, g, b)
        level = max(r, g, b)
        if self._colours[theme.SWATCH0 + index] == colour and self._levels[index] == level:
            return
        self._colours[theme.SWATCH0 + index] = colour
        self._levels[index] = level
        if self.big:
            self._panel.palette(self._colours)
            strokes.retint(self._strokes, self._count, _BOX | theme.SWATCH0 + index << 2, colour)

    def swatch(self, x, y, w, h, index):
        """Draw a framed box in the colour of a swatch; with one bit, filled from below by its brightness. index:
        0..7."""
        if self.big:
            ink = theme.SWATCH0 + index
            self._add(_BOX, x, y, w, h, ink, 0, self._colours[ink])
            self._add(_FRAME, x, y, w, h, theme.EDGE)  # a lamp that is out still has its place
            return
        full = (h - 2) * self._levels[index] // 255
        self._add(_BOX, x, y, w, h, 0)
        self._add(_FRAME, x, y, w, h, 1)
        self._add(_BOX, x + 1, y + h - 1 - full, w - 2, full, 1)

    def forget(self):
        """The panel was started anew: nothing of what was sent is on it."""
        for n in range(len(self._sent)):
            self._sent[n] = -1
        self._band, self._changed = 0, -1

    def flush(self):
        """Do a small piece of bringing the panel up to date: paint the next strokes, up to a text, or send the next
        slice. -> True when the panel shows all there is."""
        compared = 0
        while self._band < self.height:
            if self._changed < 0:
                if compared == _COMPARED:
                    return False
                self._compare()
                compared += 1
            if self._changed:
                if self._next < self._count:
                    self._paint()
                else:
                    self._send()
                return False
            self._band += self._rows
            self._changed = -1
        self._band = 0
        return True

    def _compare(self):
        """Find out which slices of the band look other than what the panel shows."""
        self._changed, first = 0, self._band + self._rows
        for n in range(self._rows // _SLICE):
            top = self._band + n * _SLICE
            total = strokes.rows_sum(self._strokes, self._count, top, top + _SLICE)
            if top < self.height and total != self._sent[top // _SLICE]:
                self._sent[top // _SLICE] = total
                self._changed |= 1 << n
                first = min(first, top)
                self._end = top + _SLICE
        self._next = strokes.within(self._strokes, self._count, 0, first, self._end)

    # Machine code on the chips.
    def _paint(self):
        """Paint strokes into the band, up to a text."""
        kind = _BOX
        while self._next < self._count and kind != _TEXT:
            kind = self._paint_one(self._next)
            self._next = strokes.within(self._strokes, self._count, self._next + 1, self._band, self._end)

    # Machine code on the chips.
    def _paint_one(self, n):
        """Paint a stroke into the band -> its kind."""
        data = self._strokes
        place = data[4 * n]  # one by one: three at once would be a tuple on the heap
        size = data[4 * n + 1]
        what = data[4 * n + 2]
        x, y = (place >> 12) - 1024, (place & 4095) - 1024 - self._band
        ink, kind = what >> 2 & 15, what & 3
        if kind == _TEXT:
            # By _font: the first accented letter of a later text may have dropped the largest font in the meantime.
            self._draw(self._fb, self._size, self._font("", what >> 6 & 3), self._texts[n], what >> 8, x, y, ink)
        elif kind == _FRAME:
            self._fb.rect(x, y, size >> 12, size & 4095, ink)
        else:
            self._fb.fill_rect(x, y, size >> 12, size & 4095, ink)
        return kind

    def _send(self):
        """Send the next slice of the band."""
        n = 0
        while not self._changed >> n & 1:
            n += 1
        self._changed &= ~(1 << n)
        top = self._band + n * _SLICE
        self._panel.show(top, min(top + _SLICE, self.height), n * _SLICE)
