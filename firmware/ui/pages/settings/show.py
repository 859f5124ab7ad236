"""What can be done with one show. Opened by Shows."""

from firmware.parts import once
from firmware.show import shelf_edit
from firmware.ui.frame.list_page import ListPage

_OPEN, _NAME, _COPY, _DELETE = "Open", "Name", "Copy", "Delete"


class Page(ListPage):
    """ident: the show's, as the shelf knows it."""

    parent = "shows"
    items = (_OPEN, _NAME, _COPY, _DELETE)
    hints = (("push", "confirm"), ("back", "Shows"))

    def __init__(self, app, ident):
        ListPage.__init__(self, app)
        self.ident = ident
        self.title = app.shelf.name(ident)

    def choose(self, item):
        app, shelf, name = self.app, self.app.shelf, self.title
        if item == _NAME:
            app.open("name", "show", name, ("shows",),
                     once, "firmware.ui.pages.settings.show", "rename", app, self.ident, name)
            return
        if item == _OPEN:
            if app.try_to(app.open_show, self.ident, said=name + " is open"):
                return
        elif item == _COPY:
            app.try_to(shelf_edit.copy, shelf, self.ident, name[:19] + " copy", said="Copied: %s copy" % name[:19])
        elif app.try_to(shelf_edit.remove, shelf, self.ident, said=name + " deleted. Undo: back twice, push"):
            app.can_undo("deleting " + name, once, "firmware.show.shelf_edit", "put_back", shelf)
            app.remembered["loss"] = app.undo[-1]
        app.open("shows")


def rename(app, ident, old, new):
    """Give a show another name, so that it can be undone. Errors: as shelf_edit.rename."""
    set_name(app, ident, new)
    app.can_undo("Name " + old, once, "firmware.ui.pages.settings.show", "set_name", app, ident, old)


def set_name(app, ident, name):
    """Give a show another name."""
    shelf_edit.rename(app.shelf, ident, name)
    if ident == app.shelf.opened:
        app.show.name = name
