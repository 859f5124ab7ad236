"""The log of faults: what went wrong, and how long after power-up. For the user to read, or to read out to somebody who
helps. Opened by Settings.
"""

from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.list_page import ListPage
from firmware.ui.frame.paragraph import paragraph


class Page(ListPage):
    """A row a fault, the newest first; the chosen one stands in full below the list."""

    title = "Faults"
    parent = "settings"
    hints = (("back", "Settings"),)

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.items = app.log.entries() or [None]

    def row(self, item):
        if item is None:
            return "None so far", ""
        at = item[0]
        return item[2] or item[1], "%d:%02d" % (at // 60, at % 60)

    def below_height(self, c):
        return (4 if c.big else 3) * c.line_height(fonts.SMALL) + 1

    def below(self, c, top, bottom):
        item = self.item()
        if item:
            c.box(0, top, c.width, 1, theme.EDGE)
            lines = (bottom - top) // c.line_height(fonts.SMALL)
            yield from paragraph(c, item[1], top + 1, fonts.SMALL, theme.TEXT, lines)
