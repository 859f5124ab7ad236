"""The map of a universe: which slots are taken, and by which lamp. Opened by Rig."""

from micropython import const

from firmware.show.address import at
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import page, theme
from firmware.ui.frame.paragraph import paragraph
from firmware.universe import SLOTS

_ACROSS = const(32)
_DOWN = const(16)


class Page(page.Page):
    """512 slots in rows of 32. The knob walks over them, and from the last into the second universe, if there is one;
    the line under the map names the lamp of the slot."""

    title = "Slots"
    parent = "rig"
    hints = (("turn", "along"), ("push+turn", "a row"), ("push", "next lamp"), ("back", "Rig"))
    at = 0

    def __init__(self, app):
        page.Page.__init__(self, app)
        self.used = app.show.rig.used()
        self._name()

    def _name(self):
        """With two universes the title says which it is."""
        if len(self.used) > SLOTS:
            self.title = "Slots of port %d" % (self.at // SLOTS + 1)

    def turn(self, detents):
        self.at = max(0, min(len(self.used) - 1, self.at + detents))
        self._name()

    def push_turn(self, detents):
        self.turn(detents * _ACROSS)

    def push(self):
        """Go to where another lamp begins, or a free stretch."""
        here = self.used[self.at]
        for slot in list(range(self.at, len(self.used))) + [0]:
            if self.used[slot] != here or not slot:
                self.at = slot
                self._name()
                return

    def body(self, c, top, bottom):
        under = c.foot - 1  # room for the words
        wide, high = c.width // _ACROSS, (bottom - top - under) // _DOWN
        c.lend_signs(_signs(wide, high))
        first = self.at // SLOTS * SLOTS
        for down in range(_DOWN):
            line = "".join([self._sign(first + down * _ACROSS + s) for s in range(_ACROSS)])
            c.text(line, 0, top + down * high, fonts.SIGNS, theme.DIM)
            yield
        x, y = self.at % _ACROSS * wide, top + (self.at - first) // _ACROSS * high
        c.box(x, y, wide, high, theme.PAPER)
        c.frame(x, y, wide, high, theme.HOT)
        yield
        holder = self.used[self.at]
        words = "free"
        if holder:
            f = self.app.show.rig.fixtures[holder - 1]
            words = "%s's %d of %d" % (f.name, self.at + 2 - f.address, f.personality.slots)
        yield from paragraph(c, "Slot %s: %s" % (at(self.at + 1), words), bottom - under, fonts.SMALL, theme.TEXT)

    def _sign(self, s):
        """The sign of slot s on the map. The slots of one lamp join to a box, with a gap to the next lamp; a free slot
        is a dot."""
        used = self.used
        return "." if not used[s] else "]" if s % SLOTS == SLOTS - 1 or used[s + 1] != used[s] else "="


def _signs(wide, high):
    """The three signs of the map as a font (frame/glyphs.py). wide, high: pixels of a slot."""
    box, gap = 0xFFFF << 16 - wide & 0xFFFF, 0xFFFF << 17 - wide & 0xFFFF
    glyphs = (_glyph(wide, high // 2, 1, 0x8000 >> wide // 2), _glyph(wide, 0, high - 1, box),
              _glyph(wide, 0, high - 1, gap))
    out, at = bytearray((high, 0, 3, 0, 46, 1, 0, 61, 1, 0, 93, 1)), 18
    for glyph in glyphs:
        out += bytes((at >> 8, at & 255))
        at += len(glyph)
    return bytes(out) + b"".join(glyphs)


def _glyph(wide, top, rows, bits):
    """A glyph of equal rows. bits: the 16 pixels of a row, from the left."""
    return bytes((wide, top, wide, rows)) + (bytes((bits >> 8, bits & 255)) if wide > 8 else bytes((bits >> 8,))) * rows
