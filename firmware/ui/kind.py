"""Choose a personality: for a new lamp, or for one that is there."""

from firmware.show.generic import generic_ids
from firmware.ui.page import Choice


class Page(Choice):
    """Opened from Rig with a fixture, or None for a new one at the first free run."""

    title = "Kind of lamp"
    hints = (("push", "take it"), ("back", "Rig"))

    def __init__(self, app, fixture):
        Choice.__init__(self, app)
        self.fixture = fixture
        self.items = [i for i in sorted(app.show.rig.library) if i not in generic_ids()] + generic_ids()

    def row(self, ident):
        p = self.app.show.rig.personality(ident)
        return p.name, "%d slot%s" % (p.slots, "" if p.slots == 1 else "s")

    def choose(self, ident):
        app, rig = self.app, self.app.show.rig
        if self.fixture is None:
            if app.try_to(app.change_rig, rig.add, ident):
                f = rig.fixtures[-1]
                app.say("Set the lamp to address %d" % f.address)
        else:
            app.try_to(app.change_rig, rig.swap, self.fixture, ident)
        app.open("rig")

    def leave(self):
        self.app.open("rig")
