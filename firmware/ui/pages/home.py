"""The list of pages, and what must be in reach from everywhere: undo, blackout, all full, holding the fades."""

from firmware.ui.frame.page import Choice

PAGES = (  # what stands in the list, and the page that it opens (table.py)
    ("Light", "light"), ("Looks", "looks"), ("Run", "run"), ("Effects", "effects"), ("Feed", "feed"),
    ("Meter", "meter"), ("Slate", "slate"), ("Rig", "rig"), ("Kit", "settings"),
)
_UNDO, _BLACK, _FULL, _FADES = "Undo", "Blackout", "All full", "Hold fades"


class Page(Choice):
    """Turn to a page, push to open it. The other rows act at once."""

    title = "Halfstop"

    def __init__(self, app):
        Choice.__init__(self, app)
        self.items = ([_UNDO] if app.undo else []) + [label for label, _page in PAGES] + [_BLACK, _FULL, _FADES]
        self.at = self.items.index(app.remembered.get("home", "Light"))

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

    def hint(self):
        push = "open" if self.item() in dict(PAGES) else "do it"
        return ("turn", "choose"), ("push", push), ("hold", "log a take"), ("back", "Light")

    def leave(self):
        self.app.open("light")
