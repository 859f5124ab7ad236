"""Pick lamps that the Light page then dials together. Opened by the actions of Light, and by Groups."""

from firmware.ui.frame.list_page import ListPage


class Page(ListPage):
    """A row a lamp, with a tick where it is picked. app.remembered["picked"] is the set of their uids."""

    title = "Pick lamps"
    parent = "light"
    hints = (("push", "tick"), ("hold", "none"), ("back", "Light"))

    def __init__(self, app):
        ListPage.__init__(self, app)
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
