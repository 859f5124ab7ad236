"""The Rig page: the lamps, each with its page, a new lamp, and what is about all of them: set-up sheet, map of slots,
groups, load."""

from firmware.show.address import reach
from firmware.ui.frame.list_page import ListPage

_ADD, _FIND, _SHEET, _MAP = "+ Add a lamp", "Find lamps", "Set-up sheet", "Map of slots"
_GROUPS, _LOAD = "Groups", "Power"


class Page(ListPage):
    """A row a lamp, with its slots."""

    title = "Rig"
    hints = (("push", "open"), ("back", "pages"))
    remember = "rig"

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.items = app.show.rig.fixtures + [_ADD, _FIND, _SHEET, _MAP, _GROUPS, _LOAD]

    def row(self, item):
        fixtures = self.app.show.rig.fixtures
        if item in (_ADD, _GROUPS, _LOAD):
            return item, ""
        if item == _FIND:
            return item, "by RDM" if self.app.show.rig.universes < 2 else "on port 1"
        if item == _SHEET:
            return item, "%d of %d set" % (len([f for f in fixtures if f.ticked()]), len(fixtures))
        if item == _MAP:
            return item, "%d free" % len([owner for owner in self.app.show.rig.used() if not owner])
        return item.name, reach(item.address, item.personality.slots, "–")

    def choose(self, item):
        if item == _ADD:
            self.app.open("lamp_kind", None)
        elif item == _FIND:
            self.app.open("rdm")
        elif item == _SHEET:
            self.app.open("sheet")
        elif item == _MAP:
            self.app.open("slots")
        elif item == _GROUPS:
            self.app.open("groups")
        elif item == _LOAD:
            self.app.open("load")
        else:
            self.app.open("lamp", item)
