"""Store the light that is on as a new look, under a name that is chosen here. Opened by Looks and by the actions of
Light."""

from firmware.parts import once
from firmware.ui.frame.list_page import ListPage

_WORDS = ("Day", "Night", "Dusk", "Dawn", "Evening", "Morning", "Wide", "Close", "Reverse", "Set-up", "Work light")
_OTHER = "Own name"


class Page(ListPage):
    """The rows are ready names, with a number where they are taken; one leads to the page for any name."""

    title = "Store as"
    parent = "light"
    hints = (("push", "store"), ("back", "don't"))

    def __init__(self, app):
        ListPage.__init__(self, app)
        taken = app.show.looks.names()
        self.items = [numbered(taken, "Look", len(taken) + 1), _OTHER]
        self.items += [numbered(taken, word, 2) if word in taken else word for word in _WORDS]

    def choose(self, name):
        if name is _OTHER:
            self.app.open("name", "look", "", ("light",),
                          once, "firmware.ui.pages.looks.look_store", "store_new", self.app)
        elif self.app.try_to(self.app.stage.store, name, said="Stored as " + name):
            self.app.open("light")


def numbered(taken, word, first):
    """The first of "word 2", "word 3" ... that is no name in `taken`. first: the number to begin with."""
    while "%s %d" % (word, first) in taken:
        first += 1
    return "%s %d" % (word, first)


def store_new(app, name):
    """Store the light that is on as a new look. Errors: ValueError: there is one of that name; as Stage.store."""
    if name in app.show.looks.names():
        raise ValueError("There is a look %s: store in it from its own page" % name)
    app.stage.store(name)
