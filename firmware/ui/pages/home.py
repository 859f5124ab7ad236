"""The list of pages, and what must be in reach from everywhere: undo, blackout, all full, holding the fades. The back
key of most pages leads here.
"""

from firmware.ui.frame.list_page import ListPage

PAGES = (  # the words of a row, and the name of the page that it opens (table.py)
    ("Light", "light"), ("Looks", "looks"), ("Run", "run"), ("Effects", "effects"), ("Feed", "feed"),
    ("Meter", "meter"), ("Slate", "slate"), ("Rig", "rig"), ("Settings", "settings"),
)
_UNDO, _BLACK, _FULL, _FADES = "Undo", "Blackout", "All full", "Hold fades"


class Page(ListPage):
    """A push opens the page of the row; the other rows act at once. Holding the knob logs a take."""

    title = "Halfstop"
    parent = "light"

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.items = ([_UNDO] if app.undo else []) + [label for label, _page in PAGES] + [_BLACK, _FULL, _FADES]
        loss = app.remembered.pop("loss", None)
        waits = loss is not None and app.undo and app.undo[-1] is loss  # nothing was done since
        self.at = 0 if waits else self.items.index(app.remembered.get("home", "Light"))

    def row(self, item):
        stage = self.app.stage
        if item == _UNDO:
            return item, self.app.undo[-1][0] if self.app.undo else ""
        if item == _BLACK:
            return item, "on" if stage.blackout else "off"
        if item == _FULL:
            return item, "on" if stage.full else "off"
        if item == _FADES:
            return item, "held" if stage.paused else "running" if stage.left() else "none runs"
        return item, ""

    def choose(self, item):
        stage = self.app.stage
        if item == _UNDO:
            self.app.undo_last()
            self.app.open("home")
        elif item == _BLACK:
            stage.blackout = not stage.blackout
        elif item == _FULL:
            stage.full = not stage.full
        elif item == _FADES:
            stage.pause(not stage.paused)
        else:
            self.app.remembered["home"] = item
            self.app.open(dict(PAGES)[item])

    def hold(self):
        self.app.open("slate", True)

    def list_hint(self):
        push = "open" if self.item() in dict(PAGES) else "undo"
        return ("turn", "choose"), ("push", push), ("hold", "log a take"), ("back", "Light")
