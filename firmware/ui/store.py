"""Store the light that is on as a new look: choose its name."""

from firmware.ui.page import Choice

_WORDS = ("Day", "Dusk", "Night", "Dawn", "Scene", "Set-up", "Close", "Wide", "Master shot", "Work light")


class Page(Choice):
    """Ready names first (numbered where taken), then one of one's own."""

    title = "Store as"

    def rows(self):
        return [("Look %d" % self._number(), "")] + [(self._free(w), "") for w in _WORDS] + [("Own name", "")]

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

    def choose(self, at):
        rows = self.rows()
        if at == len(rows) - 1:
            self.app.open("name", "", self.app.stage.store, "looks")
            return
        name = rows[at][0]
        self.app.try_to(self.app.stage.store, name, said="Stored: " + name)
        self.app.open("light")

    def back(self):
        self.app.open("light")

    def hint(self):
        return "turn: choose   push: store   back: don't"
