"""What can be done with one show."""

from firmware.ui.page import Choice

_OPEN, _NAME, _COPY, _DELETE = "Open", "Name", "Copy", "Delete"


class Page(Choice):
    """Opened from Shows with the show's ident."""

    items = (_OPEN, _NAME, _COPY, _DELETE)
    hints = (("push", "do it"), ("back", "Shows"))

    def __init__(self, app, ident):
        Choice.__init__(self, app)
        self.ident = ident
        self.title = app.shelf.name(ident)

    def choose(self, item):
        app, shelf, name = self.app, self.app.shelf, self.title
        if item == _NAME:
            app.open("name", "show", name, _rename, (self.ident, name), ("shows",))
            return
        if item == _OPEN:
            if app.try_to(app.open_show, self.ident, said=name + " is open"):
                return
        elif item == _COPY:
            app.try_to(shelf.copy, self.ident, name[:19] + " copy", said="Copied: %s copy" % name[:19])
        elif app.try_to(shelf.remove, self.ident, said=name + " deleted. Pages has Undo"):
            app.can_undo(name + " deleted", shelf.put_back)
        app.open("shows")

    def leave(self):
        self.app.open("shows")


def _rename(app, ident, old, new):
    _keep_name(app, ident, new)
    app.can_undo("Name " + old, _keep_name, app, ident, old)


def _keep_name(app, ident, name):
    app.shelf.rename(ident, name)
    if ident == app.shelf.opened:
        app.show.name = name
