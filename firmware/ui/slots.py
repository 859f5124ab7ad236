"""The map of the universe: which slots are held, and by whom."""

from firmware.ui import canvas as fonts
from firmware.ui import theme
from firmware.ui.page import Page as _Page

_ACROSS = 32


class Page(_Page):
    """512 slots in rows of 32; the knob walks over them and the line under the map names the holder."""

    title = "Slots"
    hints = (("turn", "along"), ("push+turn", "a row"), ("back", "Rig"))
    at = 0

    def turn(self, detents):
        self.at = max(0, min(511, self.at + detents))

    def push_turn(self, detents):
        self.turn(detents * _ACROSS)

    def back(self):
        self.app.open("rig")

    def body(self, c, top, bottom):
        used = self.app.show.rig.used()
        wide, high = c.width // _ACROSS, (bottom - top - 26) // (512 // _ACROSS)
        for s in range(512):
            x, y = s % _ACROSS * wide, top + 2 + s // _ACROSS * high
            if used[s]:
                c.box(x, y, wide - (s + 1 >= 512 or used[s + 1] != used[s]), high - 2, theme.TEXT)
            else:
                c.box(x + 3, y + 3, 2, 2, theme.DIM)
            if s == self.at:
                c.frame(x - 1, y - 1, wide + 1, high, theme.HOT)
        holder = self.app.show.rig.fixtures[used[self.at] - 1].span() if used[self.at] else "free"
        words = "Slot %d: %s" % (self.at + 1, holder)
        c.text(words, 6, bottom - 22, fonts.BODY, theme.TEXT, width=c.width - 12)
