"""The list of pages, and what must be in reach from everywhere: undo, blackout, all full, hold the fades."""

from firmware.ui.page import Choice

# Name on the screen -> module. A page joins the list when it works.
_PAGES = {"Light": "light", "Looks": "looks", "Rig": "rig"}


class Page(Choice):
    """Turn to a page, push to open it. The other rows act at once."""

    title = "Halfstop"
    hints = (("push", "open"), ("back", "Light"))

    def __init__(self, app):
        Choice.__init__(self, app)
        self.items = ["Undo"] if app.undo else []
        self.at = len(self.items)
        self.items += list(_PAGES) + ["Blackout", "All full", "Hold fades"]

    def row(self, item):
        stage = self.app.stage
        if item == "Undo":
            return item, self.app.undo[0] if self.app.undo else ""
        if item == "Blackout":
            return item, "on" if stage.blackout else "off"
        if item == "All full":
            return item, "on" if stage.full else "off"
        if item == "Hold fades":
            return item, "held" if stage.paused else "running" if stage.left() else "none runs"
        return item, ""

    def choose(self, item):
        stage = self.app.stage
        if item == "Undo":
            self.app.undo_last()
            self.app.open("home")
        elif item == "Blackout":
            stage.blackout = not stage.blackout
        elif item == "All full":
            stage.full = not stage.full
        elif item == "Hold fades":
            stage.pause(not stage.paused)
        else:
            self.app.open(_PAGES[item])

    def leave(self):
        self.app.open("light")
