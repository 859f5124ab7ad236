"""The lamps: add, name, address, kind, master or not, remove; and the map of slots."""

from firmware.ui.page import Choice


class Page(Choice):
    """One lamp a row with the slots it holds."""

    title = "Rig"

    def __init__(self, app):
        Choice.__init__(self, app)
        self.at = app.kept.get("rig", 0)

    def rows(self):
        rows = [(f.name, "%d-%d" % (f.address, f.last())) for f in self.app.show.rig.fixtures]
        return rows + [("+ Add a lamp", ""), ("Map of slots", "%d free" % self._free())]

    def _free(self):
        return sum(1 for slot in self.app.show.rig.used() if not slot)

    def choose(self, at):
        self.app.kept["rig"] = at
        fixtures = self.app.show.rig.fixtures
        if at < len(fixtures):
            self.app.open("rig_acts", fixtures[at])
        elif at == len(fixtures):
            self.app.open("kind", None)
        else:
            self.app.open("slots")

    def hint(self):
        return "turn: choose   push: open   back: pages"
