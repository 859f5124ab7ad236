"""What can be done with one lamp of the rig."""

from firmware.ui.page import Choice


class Page(Choice):
    """Opened from Rig with the fixture."""

    items = ("Name", "Address", "Kind", "Master", "Remove")
    hints = (("push", "change"), ("back", "Rig"))

    def __init__(self, app, fixture):
        Choice.__init__(self, app)
        self.fixture = fixture
        self.title = fixture.name
        self.address = fixture.address  # being dialled

    def row(self, item):
        f = self.fixture
        if item == "Name":
            return item, f.name
        if item == "Address":
            return item, "%d" % self.address
        if item == "Kind":
            return item, f.personality.name
        if item == "Master":
            return item, "exempt" if f.trims.get("free") else "follows"
        return item, ""

    def dial(self, item, detents):
        self.address = max(1, min(512, self.address + detents))

    def dialled(self, item):
        app, f = self.app, self.fixture
        app.try_to(app.change_rig, app.show.rig.move, f, self.address, said="%s is at %d" % (f.name, self.address))
        self.address = f.address

    def undial(self, item):
        self.address = self.fixture.address

    def choose(self, item):
        app, rig, f = self.app, self.app.show.rig, self.fixture
        if item == "Name":
            app.open("name", f.name, lambda new: app.change_rig(rig.rename, f, new), "rig")
        elif item == "Address":
            self.grip()
        elif item == "Kind":
            app.open("kind", f)
        elif item == "Master":
            app.try_to(app.change_rig, _exempt, rig, f)
        else:
            at = rig.fixtures.index(f)
            if app.try_to(app.change_rig, rig.remove, f, said="%s removed" % f.name):
                app.can_undo("%s removed" % f.name, app.change_rig, rig.put_back, f, at)
            app.open("rig")

    def leave(self):
        self.app.open("rig")


def _exempt(rig, f):
    rig.trim(f, free=None if f.trims.get("free") else 1)
