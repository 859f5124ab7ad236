"""The lamps: add, name, address, kind, master or not, remove; and the map of slots."""

from firmware.ui.page import Choice


class Page(Choice):
    """One lamp a row with the slots it holds."""

    title = "Rig"

    hints = (("push", "open"), ("back", "pages"))
    memory = "rig"

    def __init__(self, app):
        Choice.__init__(self, app)
        self.items = app.show.rig.fixtures + ["+ Add a lamp", "Map of slots"]

    def row(self, item):
        if item == "Map of slots":
            return item, "%d free" % self._free()
        if item == "+ Add a lamp":
            return item, ""
        return item.name, "%d-%d" % (item.address, item.last())

    def _free(self):
        return sum(1 for slot in self.app.show.rig.used() if not slot)

    def choose(self, item):
        if item == "+ Add a lamp":
            self.app.open("kind", None)
        elif item == "Map of slots":
            self.app.open("slots")
        else:
            self.app.open("rig_acts", item)
