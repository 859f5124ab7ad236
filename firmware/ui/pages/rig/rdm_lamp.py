"""What one lamp says of itself by RDM (ANSI E1.20): address and personality, which the knob sets, hours, sensors and
faults. Opened by the page that finds lamps, and by the page of a lamp of the rig that was found so.
"""

from firmware.stage.rdm_link import Link
from firmware.stage.rdm_one import One
from firmware.ui.frame.list_page import ListPage
from firmware.ui.frame.screen import REFUSED, SAVED
from firmware.universe import SLOTS

_ADDRESS, _MODE = "Address", "Personality"
_READ_MS = 2000  # between two readings of what moves by itself


class Page(ListPage):
    """A row for each thing that the lamp says. A push on address or personality lets the knob dial it; what is dialled
    is written with the push that ends it, and shown as the lamp then says it."""

    def __init__(self, app, uid, name, back):
        """back: the page to return to, with its arguments."""
        ListPage.__init__(self, app)
        self.title = name
        self.one = One(Link(app.board), uid)
        self.since = app.now
        self.items = [_ADDRESS, _MODE]
        self.value = 0
        self._back = back
        self._drawn = -1
        self._wait = 0  # ms until all is read again
        self.one.link.do(self.one.read())

    def row(self, item):
        one = self.one
        dialled = self.dialling and item == self.item()
        if item == _ADDRESS:
            return item, "%d" % self.value if dialled else "%d" % one.address if one.address else "–"
        if item == _MODE:
            mode = self.value if dialled else one.mode
            name = one.mode_names.get(mode, "")
            return item, "%d of %d %s" % (mode, one.modes, name)
        return item

    def choose(self, item):
        one = self.one
        if item not in (_ADDRESS, _MODE):
            return
        if not one.mode:
            self.app.say("It has not answered yet")
            return
        self.value = one.address or 1 if item == _ADDRESS else one.mode
        self.start_dialling()

    def dial(self, item, detents):
        if item == _ADDRESS:
            self.value = max(1, min(SLOTS + 1 - max(1, self.one.slots), self.value + detents))
        else:
            self.value = max(1, min(self.one.modes, self.value + (1 if detents > 0 else -1)))
            if self.value not in self.one.mode_names:
                self.one.link.do(self.one.read_mode(self.value))

    def accept(self, item):
        self.one.link.do(self.one.write(item == _ADDRESS, self.value))

    def list_hint(self):
        hints = ("turn", "choose"), ("back", "back")
        return (("push", "change"),) + hints if self.item() in (_ADDRESS, _MODE) else hints

    def step(self, now):
        one, ms = self.one, now - self.since
        self.since = now
        self._wait -= ms
        if self._wait <= 0 and not one.link.busy:
            self._wait = _READ_MS
            one.link.do(one.read_moving())
        try:
            one.link.step(ms)
        except ValueError as e:  # the line stopped
            self.app.say(str(e), REFUSED)
            self.leave()
            return
        if one.news:
            self.app.say(one.news, REFUSED if one.failed else SAVED)
            one.news = ""
        if one.changes != self._drawn:
            self._drawn = one.changes
            self.items = [_ADDRESS, _MODE] + one.rows()
            self.app.screen.touch()

    def leave(self):
        self.app.open(*self._back)

    def close(self):
        ListPage.close(self)
        self.one.link.close()
