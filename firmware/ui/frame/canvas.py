"""Text and shapes on a panel. Made by the app, used by pages.

There is no room for a whole picture: what pages draw is kept as strokes (strokes.py), and `flush` paints them into the
panel's few rows, band by band, for the bands that changed.
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
OWN = const(3)  # signs that a page lends, see Canvas.own
LEFT = const(0)
CENTRE = const(1)
RIGHT = const(2)
_SENT = const(8)  # rows at once: a page of the small panels
_MOST = const(96)  # strokes: the fullest page has 60 (tests/ui/test_walker.py)
_BOX = const(0)  # a stroke's third word: kind, ink << 2, font << 6, count << 8
_FRAME = const(1)
_TEXT = const(2)


def _load(big, size, plain):
    return once("firmware.ui.fonts.load", "data", 3 * (1 - big) + size, plain)


class Canvas:
    """A panel to draw on. width, height: pixels; bits: 1 or 4; big: a colour panel, room for more.

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
        self._rests = False  # the largest font is not wanted any more
        # The measures that all pages are laid out by: a list's row, title line, foot and side margin.
        self.row = self._data[BODY][0] + (2 if self.big else 0)
        self.head = self.row + 1 if self.big else self._data[SMALL][0]
        self.foot = 2 * self._data[SMALL][0] + 2 if self.big else self._data[SMALL][0] + 1
        self.pad = 6 if self.big else 2
        self._colours = array("H", theme.COLOURS + (0,) * theme.SWATCHES)
        self._levels = bytearray(theme.SWATCHES)
        self._strokes = array("i", bytes(16 * _MOST))
        self._texts = [""] * _MOST
        self._count = 0
        self.crowded = False  # a page had more strokes than there is room for
        self._sent = array("i", [-1] * ((panel.height + _SENT - 1) // _SENT))  # the strokes' sum, of each eight rows
        self._band = 0  # that `flush` is at: its top row;
        self._due = -1  # bit n: its n-th eight rows are to be sent; -1: not known yet;
        self._next = 0  # the stroke to be painted next, and then
        self._end = 0  # the row at which painting ends
        if self.big:
            panel.palette(self._colours)
        self.fill(theme.PAPER)

    def _ink(self, ink):
        """The buffer's own value for an ink."""
        return ink if self.big else theme.LIGHT >> ink & 1 if ink < theme.SWATCH0 else 1

    def _add(self, kind, x, y, w, h, ink, more=0, look=0, text=""):
        """Keep a stroke. Boxes hide what they cover."""
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
        """Let the strokes that are hidden go."""
        data, texts, to = self._strokes, self._texts, 0
        for at in range(self._count):
            if data[4 * at + 1]:
                if to < at:
                    for word in range(4):
                        data[4 * to + word] = data[4 * at + word]
                    texts[to] = texts[at]
                to += 1
        self._let_go(to)

    def _let_go(self, count):
        """Keep so many strokes, and the others' texts no longer."""
        for at in range(count, self._count):
            self._texts[at] = ""
        self._count = count

    def line_height(self, font):
        """Pixels from one line of text to the next."""
        return self._font("", font)[0]

    def baseline(self, font):
        """Pixels from the top of a line to where the letters stand."""
        return self._font("", font)[1]

    def _font(self, s, font):
        """The data to write a text with. The first accented letter loads whole fonts in place of the plain ones; where
        there is no room for them it shows as a question mark."""
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
        """Another page comes: forget the largest font once all is drawn anew. Few pages need it."""
        self._rests = True

    def own(self, data):
        """Lend the canvas a font (glyphs.py) of a page's own signs, until the next one is lent."""
        self._data[OWN] = data

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
            self._add(_BOX, x, y, width, data[0], self._ink(paper))
        at = x + (width - long) * align // 2
        wide = long - dots
        self._add(_TEXT, at, y, wide, data[0], self._ink(ink), font | count << 2, strokes.text_sum(s), s)
        if dots:
            self._add(_TEXT, at + wide, y, dots, data[0], self._ink(ink), font | 1 << 2, 0, "…")
        return long

    def fill(self, ink):
        """The whole screen."""
        self._let_go(0)
        if self._rests:
            self._rests = False
            self._data[BIG] = b""
        self._add(_BOX, 0, 0, self.width, self.height, self._ink(ink))

    def box(self, x, y, w, h, ink):
        """A filled box."""
        self._add(_BOX, x, y, w, h, self._ink(ink))

    def frame(self, x, y, w, h, ink):
        """A box's outline, one pixel wide."""
        self._add(_FRAME, x, y, w, h, self._ink(ink))

    def bar(self, x, y, w, h, share, ink, paper):
        """A level bar that grows to the right. share: 0..65536 of the whole."""
        full = w * share >> 16
        if self.big:
            self._add(_BOX, x, y, full, h, ink)
            self._add(_BOX, x + full, y, w - full, h, paper)
            return
        self._add(_BOX, x, y, w, h, 0)  # with one bit, ink and paper may look the same
        self._add(_FRAME, x, y, w, h, self._ink(ink))
        self._add(_BOX, x + 1, y + 1, (w - 2) * share >> 16, h - 2, 1)

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
            strokes.retint(self._strokes, self._count, _BOX | theme.SWATCH0 + index << 2, colour)

    def swatch(self, x, y, w, h, index):
        """A framed box in the colour of swatch 0..7; with one bit, filled from below by its brightness."""
        if self.big:
            ink = theme.SWATCH0 + index
            self._add(_BOX, x, y, w, h, ink, 0, self._colours[ink])
            self._add(_FRAME, x, y, w, h, theme.EDGE)  # a lamp that is out still has its place
            return
        full = (h - 2) * self._levels[index] // 255
        self._add(_BOX, x, y, w, h, 0)
        self._add(_FRAME, x, y, w, h, 1)
        self._add(_BOX, x + 1, y + h - 1 - full, w - 2, full, 1)

    def flush(self):
        """Paint the next strokes, up to a text, or send the next eight rows, of the bands that changed. -> True when
        the panel shows all there is."""
        while self._band < self.height:
            if self._due < 0:
                self._look()
            if self._due:
                if self._next < self._count:
                    self._paint()
                else:
                    self._send()
                return False
            self._band += self._rows
            self._due = -1
        self._band = 0
        return True

    def _look(self):
        """Which rows of the band look other than those that the panel has."""
        self._due, first = 0, self._band + self._rows
        for n in range(self._rows // _SENT):
            top = self._band + n * _SENT
            total = strokes.rows_sum(self._strokes, self._count, top, top + _SENT)
            if top < self.height and total != self._sent[top // _SENT]:
                self._sent[top // _SENT] = total
                self._due |= 1 << n
                first = min(first, top)
                self._end = top + _SENT
        self._next = strokes.within(self._strokes, self._count, 0, first, self._end)

    def _paint(self):
        """Strokes into the band, up to a text."""
        kind = _BOX
        while self._next < self._count and kind != _TEXT:
            kind = self._stroke(self._next)
            self._next = strokes.within(self._strokes, self._count, self._next + 1, self._band, self._end)

    def _stroke(self, n):
        data = self._strokes
        place, size, what = data[4 * n], data[4 * n + 1], data[4 * n + 2]
        x, y = (place >> 12) - 1024, (place & 4095) - 1024 - self._band
        ink, kind = what >> 2 & 15, what & 3
        if kind == _TEXT:
            self._draw(self._fb, self._size, self._data[what >> 6 & 3], self._texts[n], what >> 8, x, y, ink)
        elif kind == _FRAME:
            self._fb.rect(x, y, size >> 12, size & 4095, ink)
        else:
            self._fb.fill_rect(x, y, size >> 12, size & 4095, ink)
        return kind

    def _send(self):
        """The band's next rows."""
        n = 0
        while not self._due >> n & 1:
            n += 1
        self._due &= ~(1 << n)
        top = self._band + n * _SENT
        self._panel.show(top, min(top + _SENT, self.height), n * _SENT)
