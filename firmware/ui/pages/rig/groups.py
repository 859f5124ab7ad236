"""Groups: lamps to be chosen at once on the Light page, in effects and elsewhere."""

from firmware.parts import once
from firmware.show import groups
from firmware.ui.frame.page import Choice
from firmware.ui.pages import lamp_choice

_KEEP = "+ Keep the picked lamps"


class Page(Choice):
    """Push picks a group's lamps on the Light page."""

    title = "Groups"

    def __init__(self, app):
        Choice.__init__(self, app)
        found, fault = groups.load(app.show)
        app.shelf.faults += [fault] if fault else []
        self.items = found + [_KEEP]

    def row(self, item):
        if item is _KEEP:
            picked = [f.uid for f in self.app.show.rig.fixtures if f.uid in self.app.remembered.get("picked", ())]
            return item, "%d picked" % len(picked)
        return item[0], lamp_choice.names(self.app, item[1])

    def choose(self, item):
        app = self.app
        if item is not _KEEP:
            app.remembered["picked"] = set(item[1])
            app.remembered["lamp"] = "Picked"
            app.open("light")
            return
        uids = [f.uid for f in app.show.rig.fixtures if f.uid in app.remembered.get("picked", ())]
        if uids:
            app.open("name", "lamp", "", ("groups",), once, "firmware.ui.pages.rig.groups", "put", app, uids)
        else:
            app.open("light_pick")
            app.say("Tick the lamps of the group, then come back here")

    def hold(self):
        item = self.item()
        if item is not _KEEP and self.app.try_to(groups.remove, self.app.show, item[0], said=item[0] + " removed"):
            self.app.can_undo("Group %s" % item[0], once, "firmware.show.groups", "put", self.app.show, *item)
            self.app.open("groups")

    def hint(self):
        if self.item() is _KEEP:
            return ("push", "name it"), ("turn", "choose"), ("back", "Rig")
        return ("push", "pick them"), ("hold", "remove"), ("turn", "choose"), ("back", "Rig")

    def leave(self):
        self.app.open("rig")


def put(app, uids, name):
    """Keep a group. Errors: as groups.put."""
    groups.put(app.show, name, uids)
