"""The shows on this device: open one, or make a new one. Opened by Settings."""

from firmware.parts import once
from firmware.show import shelf_edit
from firmware.ui.frame.list_page import ListPage

_NEW = "+ New show"


class Page(ListPage):
    """A row a show. Holding the knob opens the show; a push leads to what else can be done with it."""

    title = "Shows"
    parent = "settings"
    hints = (("push", "more"), ("hold", "open"), ("back", "Settings"))

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.items = app.shelf.idents() + [_NEW]  # idents of shows
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


def new(app, name):
    """Make a show and open it. Errors: as shelf_edit.new."""
    app.open_show(shelf_edit.new(app.shelf, name))
