"""The log of faults: what went wrong, and when after power-up. For a person to read, or to read out to a helper."""

from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.page import Choice
from firmware.ui.frame.page import note as _note


class Page(Choice):
    """The newest first; the chosen one in full below the list."""

    title = "Faults"
    hints = (("back", "Kit"),)

    def __init__(self, app):
        Choice.__init__(self, app)
        self.items = app.log.entries() or [None]

    def row(self, item):
        if item is None:
            return "None so far", ""
        at = item[0]
        return item[1], "%d:%02d" % (at // 60, at % 60)

    def under(self, c):
        return (4 if c.big else 3) * c.line_height(fonts.SMALL) + 1

    def below(self, c, top, bottom):
        item = self.item()
        if item:
            c.box(0, top, c.width, 1, theme.EDGE)
            lines = (bottom - top) // c.line_height(fonts.SMALL)
            _note(c, "%s (%s)" % (item[1], item[2]), top + 1, fonts.SMALL, theme.TEXT, lines)

    def leave(self):
        self.app.open("settings")
