"""Store the light that is on as a new look: choose its name."""

from firmware.parts import once
from firmware.ui.frame.page import Choice

_WORDS = ("Day", "Night", "Dusk", "Dawn", "Evening", "Morning", "Wide", "Close", "Reverse", "Set-up", "Work light")
_OWN = "Own name"


class Page(Choice):
    """Ready names first (numbered where taken), then one of one's own."""

    title = "Store as"
    hints = (("push", "store"), ("back", "don't"))

    def __init__(self, app):
        Choice.__init__(self, app)
        self.items = ["Look %d" % self._number()] + [_OWN] + [self._free(word) for word in _WORDS]

    def _number(self):
        n = len(self.app.show.looks) + 1
        while "Look %d" % n in self.app.show.looks.names():
            n += 1
        return n

    def _free(self, base):
        name, n = base, 2
        while name in self.app.show.looks.names():
            name, n = "%s %d" % (base, n), n + 1
        return name

    def choose(self, name):
        if name is _OWN:
            self.app.open("name", "look", "", ("light",),
                          once, "firmware.ui.pages.looks.look_store", "store_new", self.app)
        elif self.app.try_to(self.app.stage.store, name, said="Stored as " + name):
            self.app.open("light")

    def leave(self):
        self.app.open("light")


def store_new(app, name):
    """Keep the light that is on as a new look. Errors: ValueError: there is one of that name; as Stage.store."""
    if name in app.show.looks.names():
        raise ValueError("There is a look %s: store in it from its own page" % name)
    app.stage.store(name)
