"""The set-up sheet: what the crew sets on each lamp, ticked as it is done. The ticks are saved with the show. Opened by
Rig."""

from firmware.show import rig_edit
from firmware.show.address import at, start
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.list_page import ListPage
from firmware.ui.frame.paragraph import paragraph

_CARE = "Care: hot, overhead"
_CARE_WORDS = "Hang with a safety wire; hot lamps burn hands and cloth. Mains: local code decides."


class Page(ListPage):
    """A row a lamp; below the list stands in words what to set on the chosen one."""

    parent = "rig"
    named = False
    remember = "sheet"

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.items = app.show.rig.fixtures + [_CARE]
        self._count()

    def _count(self):
        lamps = self.items[:-1]
        self.title = "Set-up %d/%d" % (len([f for f in lamps if f.ticked()]), len(lamps))

    def row(self, item):
        if item is _CARE:
            return item, ""
        return ("✓ " if item.ticked() else "○ ") + item.name, at(item.address)

    def choose(self, item):
        if item is _CARE:
            self.app.say(_CARE_WORDS)  # as a message it has room on a small panel too
        else:
            rig_edit.tick(self.app.show.rig, item, not item.ticked())
            self.app.try_to(self.app.show.save_rig)
            self._count()

    def list_hint(self):
        push = "read" if self.item() is _CARE else "tick"
        return ("turn", "choose"), ("push", push), ("back", "Rig")

    def below_height(self, c):
        return c.foot - 1

    def below(self, c, top, bottom):
        item = self.item()
        words = _CARE_WORDS if c.big else "Push to read"
        if item is not _CARE:
            p = item.personality
            words = p.name.replace("Dimmer + ", "")  # on a small panel the address in the row must do
            if c.big:
                number = start(item.address)
                words = "Address %d, mode %s, %d slot%s" % (number, p.name, p.slots, "" if p.slots == 1 else "s")
                if number != item.address:
                    words = "Cable of port 2. " + words
        yield from paragraph(c, words, top, fonts.SMALL, theme.TEXT, (bottom - top) // c.line_height(fonts.SMALL))
