"""Finds the lamps on the line by RDM (ANSI E1.20), takes them into the rig and sets them as the rig has them. Opened by
Rig. What is said to lamps is in stage/rdm_lamps.py.
"""

from firmware.show.address import start
from firmware.stage.rdm_lamps import Lamps
from firmware.stage.rdm_link import Link
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.list_page import ListPage
from firmware.ui.frame.paragraph import paragraph
from firmware.ui.frame.screen import REFUSED, SAVED

_TAKE, _SET, _AGAIN = "Take all", "Set all", "Search again"
_WAIT_MS = 400  # that leaving waits for a lamp that identifies itself


class Page(ListPage):
    """A row for each lamp, as it is found; the one under the knob identifies itself. Below the list stands what is
    wrong with it. The search begins with the page."""

    title = "Lamps found"
    named = False
    parent = "rig"

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.lamps = Lamps(Link(app.board), app.show)
        self.since = app.now
        self._drawn = -1
        self._lit = None  # the lamp that was last asked to identify itself
        self._next = ""  # the page that opens once that one is dark, its arguments
        self._left = 0  # ms that are left for it
        self.items = [_TAKE, _SET, _AGAIN]
        self.lamps.link.do(self.lamps.find())

    # --- rows ---

    def row(self, item):
        found = self.lamps.found
        if item == _TAKE:
            return item, "%d new" % len([lamp for lamp in found if lamp.fixture is None])
        if item == _SET:
            return item, "%d differ" % len([lamp for lamp in found if lamp.fixture and not lamp.agrees()])
        if item == _AGAIN:
            return item, "searching" if self.lamps.searching else "%d here" % (len(found) + self.lamps.more)
        f = item.fixture
        at = "%d" % item.address if item.address else "–"
        if f is None:
            return item.name, at + " new"
        return f.name, "✓ " + at if item.agrees() else "%s → %d" % (at, start(f.address))

    def choose(self, item):
        lamps = self.lamps
        if item not in (_TAKE, _SET, _AGAIN):
            self._after("rdm_lamp", item.uid, item.fixture.name if item.fixture else item.name, ("rdm",))
        elif lamps.searching:
            self.app.say("Still searching: %d so far" % len(lamps.found))
        elif lamps.link.busy:
            self.app.say("One thing after the other")
        elif item == _AGAIN:
            lamps.link.do(lamps.find())
        else:
            lamps.link.do(lamps.take() if item == _TAKE else lamps.set_all())

    def turn(self, detents):
        ListPage.turn(self, detents)
        item = self.item()
        lit = None if item in (_TAKE, _SET, _AGAIN) else item
        if lit is not self._lit:
            self._lit = lit
            self.lamps.link.do(self.lamps.shine(lit), True)

    def list_hint(self):
        item = self.item()
        push = {_TAKE: "take", _SET: "write", _AGAIN: "search"}.get(item, "its page")
        return ("push", push), ("turn", "choose"), ("back", "Rig")

    def below_height(self, c):
        return c.foot - 1

    def below(self, c, top, bottom):
        words, ink = self._words(self.item())
        lines = (bottom - top) // c.line_height(fonts.SMALL)
        yield from paragraph(c, words, top, fonts.SMALL, ink, lines)

    def _words(self, item):
        """What is to be said of a row: (words, ink)."""
        if item == _TAKE:
            return "Kind, address into the rig", theme.DIM
        if item == _SET:
            return "Kind, address of the rig", theme.DIM
        if item == _AGAIN:
            return self._counts(), theme.DIM
        other = self.lamps.clash(item)
        if item.fault:
            return item.fault, theme.WARN
        if other:
            return "Clash: %s has %d too" % (other.name, max(other.address, item.address)), theme.WARN
        if item.fixture and not item.agrees():
            return "In rig: at %d, %d slots" % (start(item.fixture.address), item.fixture.personality.slots), theme.WARN
        return "%d slots, personality %d/%d" % (item.slots, item.mode, item.modes), theme.TEXT

    def _counts(self):
        """What went wrong on the line."""
        counts = self.lamps.link.talk.counts
        bad = ", ".join(["%d %s" % (counts[why], why) for why in sorted(counts)])
        return "%d asked%s" % (self.lamps.link.talk.asked, ": " + bad if bad else ", all answered")

    # --- time ---

    def step(self, now):
        lamps, ms = self.lamps, now - self.since
        self.since = now
        try:
            lamps.link.step(ms)
        except ValueError as e:  # the line stopped
            self.app.say(str(e), REFUSED)
            self.leave_now()
            return
        if lamps.news:
            self.app.say(lamps.news, SAVED)
            lamps.news = ""
        if lamps.changes != self._drawn:
            self._drawn = lamps.changes
            chosen = self.item()
            self.items = [_TAKE, _SET, _AGAIN] + lamps.found
            self.at = self.items.index(chosen) if chosen in self.items else self.at
            self.title = "Lamps: %d" % (len(lamps.found) + lamps.more)
            self.app.screen.touch()
        if self._next:
            self._left -= ms
            if self._left <= 0 or not lamps.link.busy:
                self.leave_now()

    def leave(self):
        self._after("rig")

    def leave_now(self):
        self.app.open(*(self._next or ("rig",)))

    def _after(self, *page):
        """Open a page once the lamp that identifies itself is told to stop."""
        self._next, self._left = page, _WAIT_MS if self._lit else 0
        if self._lit:
            self._lit = None
            self.lamps.link.do(self.lamps.shine(None), True)

    def close(self):
        ListPage.close(self)
        self.lamps.close()
