"""Pick lamps that the Light page then dials together."""

from firmware.ui.frame.page import Choice


class Page(Choice):
    """A tick a lamp; app.remembered["picked"] is the set of uids."""

    title = "Pick lamps"
    hints = (("push", "tick"), ("hold", "none"), ("back", "Light"))

    def __init__(self, app):
        Choice.__init__(self, app)
        self.items = app.show.rig.fixtures
        self.picked = app.remembered.setdefault("picked", set())

    def row(self, item):
        return item.name, "✓" if item.uid in self.picked else "–"

    def choose(self, item):
        if item.uid in self.picked:
            self.picked.remove(item.uid)
        else:
            self.picked.add(item.uid)
        self.app.remembered["lamp"] = "Picked" if self.picked else item.uid

    def hold(self):
        self.picked.clear()

    def leave(self):
        self.app.open("light")
