"""Groups: lamps that are chosen together, on the Light page, in effects and elsewhere. Opened by Rig."""

from firmware.parts import once
from firmware.show import groups
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import lamp_choice

_NEW = "+ Keep picked"


class Page(ListPage):
    """A push picks the lamps of a group on the Light page; holding the knob removes the group."""

    title = "Groups"
    parent = "rig"

    def __init__(self, app):
        ListPage.__init__(self, app)
        found, fault = groups.load(app.show)
        app.shelf.faults += [fault] if fault else []
        self.items = found + [_NEW]

    def row(self, item):
        if item is _NEW:
            return item, "%d picked" % len(lamp_choice.picked(self.app))
        return item[0], lamp_choice.names(self.app, item[1])

    def choose(self, item):
        app = self.app
        if item is not _NEW:
            app.remembered["picked"] = set(item[1])
            app.remembered["lamp"] = "Picked"
            app.open("light")
            return
        uids = lamp_choice.picked(app)
        if uids:
            app.open("name", "group", "", ("groups",), once, "firmware.ui.pages.rig.groups", "put", app, uids)
        else:
            app.open("light_pick")
            app.say("Tick the lamps of the group, then come back here")

    def hold(self):
        item, show = self.item(), self.app.show
        if item is _NEW:
            return
        whole = [group for group in groups.saved(show) if group[0] == item[0]]
        if self.app.try_to(groups.remove, show, item[0], said=item[0] + " removed"):
            self.app.can_undo("Group %s" % item[0], once, "firmware.show.groups", "put", show, *whole[0])
            self.app.open("groups")

    def list_hint(self):
        if self.item() is _NEW:
            return ("push", "name it"), ("turn", "choose"), ("back", "Rig")
        return ("push", "pick them"), ("hold", "remove"), ("turn", "choose"), ("back", "Rig")


def put(app, uids, name):
    """The verb of the page for names. Errors: as groups.put."""
    groups.put(app.show, name, uids)
