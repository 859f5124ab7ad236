"""Store the light that is on as a new look: choose its name."""

from firmware.ui.page import Choice

_WORDS = ("Day", "Dusk", "Night", "Dawn", "Scene", "Set-up", "Close", "Wide", "Master shot", "Work light")
_OWN = "Own name"


class Page(Choice):
    """Ready names first (numbered where taken), then one of one's own."""

    title = "Store as"

    hints = (("push", "store"), ("back", "don't"))

    def __init__(self, app):
        Choice.__init__(self, app)
        self.items = ["Look %d" % self._number()] + [self._free(word) for word in _WORDS] + [_OWN]

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
            self.app.open("name", "", self.app.stage.store, "looks")
            return
        self.app.try_to(self.app.stage.store, name, said="Stored: " + name)
        self.app.open("light")

    def leave(self):
        self.app.open("light")
