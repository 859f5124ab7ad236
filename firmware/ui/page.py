"""What a page is, and the frame around every page: title, state of the stage, hint. Used by all pages.

A page is made when it is opened and dropped when it is left (app.open). The app calls turn, push_turn, push, hold,
look and back with the gestures, and draw when something changed. A page keeps no light of its own: it calls the
stage and draws what the stage then says.
"""

from firmware.ui import canvas as fonts
from firmware.ui import theme

HEAD = 24
FOOT = 20
ROW = 24


class Page:
    """The life of every page; each says its own title, hints and what the gestures do."""

    title = ""

    def __init__(self, app):
        self.app = app

    def turn(self, detents):
        """The knob was turned."""

    def push_turn(self, detents):
        """The knob was turned while pushed."""

    def push(self):
        """The knob was pushed and let go."""

    def hold(self):
        """The knob was held down."""

    def back(self):
        """The back key: to the list of pages."""
        self.app.open("home")

    def hint(self):
        """What the gestures do now, in a few words."""
        return ""

    def body(self, c, top, bottom):
        """Draw between rows top and bottom of canvas c."""


def draw(page, c):
    """Draw a page and the frame around it on canvas c."""
    app = page.app
    c.fill(theme.PAPER)
    c.box(0, 0, c.width, HEAD - 2, theme.PANEL)
    c.text(page.title, 6, 2, fonts.BODY, theme.TEXT, width=c.width // 2 - 6)
    c.text(state(app.stage), c.width // 2, 2, fonts.BODY, theme.HOT, width=c.width // 2 - 6, align=2)
    page.body(c, HEAD, c.height - FOOT)
    words, ink = (app.message, theme.HOT) if app.message else (page.hint(), theme.DIM)
    c.text(words, 6, c.height - FOOT + 3, fonts.SMALL, ink, width=c.width - 12)


def state(stage):
    """The stage in a word or two for the title line: what keeps the light from being as dialled."""
    if stage.blackout:
        return "BLACK"
    if stage.full:
        return "ALL FULL"
    if stage.paused:
        return "PAUSED"
    left = stage.left()
    if left > 0:
        return "fade %d.%d s" % (left // 1000, left % 1000 // 100)
    return "master %d%%" % int(stage.master * 100 + 0.5)


class Choice(Page):
    """A page that is a list: turn chooses a row, push acts on it. Rows are (left, right) texts."""

    at = 0

    def rows(self):
        """The rows as a list of (left, right)."""
        return []

    def choose(self, at):
        """Act on a row."""

    def turn(self, detents):
        self.at = max(0, min(len(self.rows()) - 1, self.at + detents))

    def push(self):
        if self.rows():
            self.choose(self.at)

    def body(self, c, top, bottom):
        rows = self.rows()
        self.at = max(0, min(self.at, len(rows) - 1))
        fit = (bottom - top) // ROW
        first = max(0, min(self.at - fit // 2, len(rows) - fit))
        for k in range(first, min(first + fit, len(rows))):
            self.row(c, top + (k - first) * ROW, rows[k], k == self.at)

    def row(self, c, y, row, chosen):
        """Draw one row; the chosen one has a bar at its left and brighter letters."""
        if chosen:
            c.box(0, y, c.width, ROW - 2, theme.PANEL)
            c.box(0, y, 4, ROW - 2, theme.HOT)
        ink = theme.TEXT if chosen else theme.DIM
        half = c.width // 2
        right = c.text(row[1], half, y + 2, fonts.BODY, ink, width=half - 8, align=2) if row[1] else 0
        c.text(row[0], 12, y + 2, fonts.BODY, ink, width=c.width - 28 - right)
