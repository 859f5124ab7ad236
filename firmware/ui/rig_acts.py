"""What can be done with one lamp of the rig."""

from firmware.ui.page import Choice


class Page(Choice):
    """Opened from Rig with the fixture."""

    def __init__(self, app, fixture):
        Choice.__init__(self, app)
        self.fixture = fixture
        self.title = fixture.name
        self.address = None  # being dialled

    def rows(self):
        f = self.fixture
        address = self.address or f.address
        return [
            ("Name", f.name),
            ("Address", ("%d ?" if self.address else "%d") % address),
            ("Kind", f.personality.name),
            ("Master", "exempt" if f.trims.get("free") else "follows"),
            ("Remove", ""),
        ]

    def turn(self, detents):
        if self.address:
            self.address = max(1, min(512, self.address + detents))
        else:
            Choice.turn(self, detents)

    def choose(self, at):
        app, rig, f = self.app, self.app.show.rig, self.fixture
        if at == 0:
            app.open("name", f.name, lambda new: app.change_rig(rig.rename, f, new), "rig")
        elif at == 1 and self.address is None:
            self.address = f.address
        elif at == 1:
            app.try_to(app.change_rig, rig.move, f, self.address, said="%s is at %d" % (f.name, self.address))
            self.address = None
        elif at == 2:
            app.open("kind", f)
        elif at == 3:
            app.try_to(app.change_rig, _exempt, rig, f)
        else:
            app.try_to(app.change_rig, rig.remove, f, said="%s removed" % f.name)
            app.open("rig")

    def back(self):
        if self.address:
            self.address = None
        else:
            self.app.open("rig")

    def hint(self):
        if self.address:
            return "turn: address   push: set it   back: as it was"
        return "turn: choose   push: change   back: Rig"


def _exempt(rig, f):
    rig.trim(f, free=None if f.trims.get("free") else 1)
