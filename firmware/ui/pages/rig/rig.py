"""The lamps of the rig: open one, add one; the set-up sheet and the map of slots."""

from firmware.ui.frame.page import Choice

_ADD, _SHEET, _MAP = "+ Add a lamp", "Set-up sheet", "Map of slots"
_GROUPS, _LOAD = "Groups", "Load"


def _span(f):
    return "%d" % f.address if f.personality.slots == 1 else "%d–%d" % (f.address, f.last())


class Page(Choice):
    """One lamp a row with the slots it holds."""

    title = "Rig"
    hints = (("push", "open"), ("back", "pages"))
    memory = "rig"

    def __init__(self, app):
        Choice.__init__(self, app)
        self.items = app.show.rig.fixtures + [_ADD, _SHEET, _MAP, _GROUPS, _LOAD]

    def row(self, item):
        fixtures = self.app.show.rig.fixtures
        if item in (_ADD, _GROUPS, _LOAD):
            return item, ""
        if item == _SHEET:
            return item, "%d of %d set" % (len([f for f in fixtures if f.ticked()]), len(fixtures))
        if item == _MAP:
            return item, "%d free" % (512 - sum([f.personality.slots for f in fixtures]))
        return item.name, _span(item)

    def choose(self, item):
        if item == _ADD:
            self.app.open("lamp_kind", None)
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
