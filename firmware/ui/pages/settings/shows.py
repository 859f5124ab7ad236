"""The shows on this device: open one, make one; push for what else can be done with it."""

from firmware.parts import once
from firmware.show import shelf_edit
from firmware.ui.frame.page import Choice

_NEW = "+ New show"


class Page(Choice):
    """A show a row, by ident; the open one is marked."""

    title = "Shows"
    hints = (("push", "more"), ("hold", "open"), ("back", "Kit"))

    def __init__(self, app):
        Choice.__init__(self, app)
        self.items = app.shelf.idents() + [_NEW]
        self.names = [app.shelf.name(ident) for ident in self.items[:-1]] + [_NEW]

    def row(self, item):
        name = self.names[self.items.index(item)]
        return name, "open" if item == self.app.shelf.opened else ""

    def choose(self, item):
        if item is _NEW:
            self.app.open("name", "show", "", ("shows",), once, "firmware.ui.pages.settings.shows", "new", self.app)
        else:
            self.app.open("show", item)

    def hold(self):
        item = self.item()
        if item is not _NEW:
            self.app.try_to(self.app.open_show, item, said=self.row(item)[0] + " is open")

    def leave(self):
        self.app.open("settings")


def new(app, name):
    """Make a show and open it. Errors: ValueError, OSError."""
    app.open_show(shelf_edit.new(app.shelf, name))
