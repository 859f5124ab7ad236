"""Bring the light of a set-up back: a list of the set-ups in the log, the newest first, and after a push a list of what
is not as it was. Opened by Slate.
"""

from array import array

from firmware.show.slate import LETTER, NUMBER, SCENE, SETUP, TAKE_NO, TEXT, Slate, scene_text
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages.slate import slate_log

_WIDE = 6  # numbers for each row: scene, letter, set-up, first take, last take, number of the last take's record
_PER_STEP = 4  # records read in one step of the app


class Page(ListPage):
    """The list grows while the log is read. A push brings the light of the set-up's last take."""

    title = "Scenes"
    named = False
    parent = "slate"
    hints = (("push", "bring it"), ("back", "Slate"))

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.slate = Slate(app.show)
        self.rows = array("H")
        self._reading = self.slate.entries()
        self.lines = []  # what is not as it was, after a push
        self._fading = False  # True: the light is on its way

    @property
    def items(self):
        """Row numbers; after a light was brought, the differences."""
        return self.lines or range(len(self.rows) // _WIDE)

    def step(self, now):
        if self.lines and self._fading and not self.app.stage.left():
            self._fading = False
            slate_log.settle(self.app.stage)
        for _ in range(_PER_STEP if self._reading else 0):
            try:
                entry = next(self._reading)
            except StopIteration:
                self._reading = None
                self.app.shelf.faults += self.slate.faults
                if not self.rows:
                    self.lines = ["No take is logged yet"]
                self.app.screen.touch()
                return
            if entry:
                self._add(entry)

    def _add(self, entry):
        """Take a record into the row of its set-up."""
        rows = self.rows
        at = entry[SCENE], entry[LETTER], entry[SETUP]
        for o in range(0, len(rows), _WIDE):
            if (rows[o], rows[o + 1], rows[o + 2]) == at:
                rows[o + 3] = min(rows[o + 3], entry[TAKE_NO])
                return
        rows.extend(array("H", at + (entry[TAKE_NO], entry[TAKE_NO], entry[NUMBER])))
        self.app.screen.touch()

    def row(self, item):
        if self.lines:
            return item, ""
        o = item * _WIDE
        entry = [0] * TEXT
        entry[SCENE], entry[LETTER], entry[SETUP] = self.rows[o:o + 3]
        low, high = self.rows[o + 3], self.rows[o + 4]
        left = scene_text(entry).partition(" ")[2]  # the title says "scene"
        return left, "take %d" % high if low == high else "%d-%d" % (low, high)

    def choose(self, item):
        if self.lines:
            self.leave()
            return
        number = self.rows[item * _WIDE + 5]
        for entry in self.slate.entries():
            if entry and entry[NUMBER] == number:
                self.app.try_to(self._bring, entry)
                return

    def _bring(self, entry):
        lines = slate_log.recall(self.app, self.slate, entry)
        self.app.say("Light of " + slate_log.entry_words(entry))
        self._reading = None
        self._fading = True
        self.at = 0
        self.title = scene_text(entry) if self.app.canvas.big else scene_text(entry).partition(" ")[2]
        self.lines = lines or ["Everything is as it was"]

    def list_hint(self):
        return (("push", "Slate"), ("back", "Slate")) if self.lines else ListPage.list_hint(self)
