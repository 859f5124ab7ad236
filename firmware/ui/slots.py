"""The map of the universe: which slots are held, and by whom."""

from micropython import const

from firmware.ui import canvas as fonts
from firmware.ui import theme
from firmware.ui.page import Page as _Page
from firmware.ui.page import note as _note

_ACROSS = const(32)
_DOWN = const(16)


class Page(_Page):
    """512 slots in rows of 32; the knob walks over them and the line under the map names the holder."""

    title = "Slots"
    hints = (("turn", "along"), ("push+turn", "a row"), ("push", "next lamp"), ("back", "Rig"))
    at = 0

    def __init__(self, app):
        _Page.__init__(self, app)
        self.used = app.show.rig.used()

    def turn(self, detents):
        self.at = max(0, min(511, self.at + detents))

    def push_turn(self, detents):
        self.turn(detents * _ACROSS)

    def push(self):
        """To the first slot of the next stretch: of another lamp, or free."""
        here = self.used[self.at]
        for slot in list(range(self.at, 512)) + [0]:
            if self.used[slot] != here or not slot:
                self.at = slot
                return

    def back(self):
        self.app.open("rig")

    def body(self, c, top, bottom):
        under = c.foot - 1  # room for the words
        wide, high = c.width // _ACROSS, (bottom - top - under) // _DOWN
        for down in range(_DOWN):
            yield from self._line(c, down, wide, top + down * high, high)
        yield
        holder = self.used[self.at]
        words = "free"
        if holder:
            f = self.app.show.rig.fixtures[holder - 1]
            words = "%s's %d of %d" % (f.name, self.at + 2 - f.address, f.personality.slots)
        _note(c, "Slot %d: %s" % (self.at + 1, words), bottom - under, fonts.SMALL, theme.TEXT)

    def _line(self, c, down, wide, y, high):
        """A row of the map: a lamp's slots are one box, with a gap to the next lamp; a free slot is a dot."""
        used, first = self.used, down * _ACROSS
        for s in range(first, first + _ACROSS):
            x = (s - first) * wide
            if used[s]:
                last = s == 511 or used[s + 1] != used[s]
                c.box(x, y, wide - last, high - 1, theme.DIM)
            else:
                c.box(x + wide // 2, y + high // 2, 1, 1, theme.DIM)
            if s & 15 == 15:
                yield
        if first <= self.at < first + _ACROSS:
            x = (self.at - first) * wide
            c.box(x, y, wide, high, theme.PAPER)
            c.frame(x, y, wide, high, theme.HOT)
