"""The Slate page: one push logs the next take with the light that is on."""

from firmware.parts import once
from firmware.show import slate as slates
from firmware.show.dates import day_text
from firmware.show.slate import NUMBER, Slate
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages.slate import slate_log

_NOTES = ("good", "hold", "no good", "pick-up", "rehearsal", "false start", "sound only", "no sound", "focus",
          "light off", "end slate", "wild")
_LOG, _NOTE, _BACK, _DATE, _CLEAR = "Log take", "Note on", "Light of a set-up", "Date", "Clear slate"
_SCENE, _LETTER, _SETUP, _TAKE = "Scene", "Letter", "Set-up", "Take"
_LIMITS = {_SCENE: (1, 999), _LETTER: (0, 26), _SETUP: (1, 99), _TAKE: (1, 199)}


class Page(ListPage):
    """at_once: True logs a take as the page is opened."""

    title = "Slate"
    items = (_LOG, _NOTE, _BACK, _TAKE, _SETUP, _SCENE, _LETTER, _DATE, _CLEAR)

    def __init__(self, app, at_once=False):
        ListPage.__init__(self, app)
        self.slate = Slate(app.show)
        app.shelf.faults += self.slate.faults
        self.ahead = list(slate_log.ahead(app, self.slate))  # scene, letter, set-up and take of the next take
        self.word = -1  # the place in _NOTES while a note is dialled, else -1
        self.sure = False  # True: the next push clears the slate
        self.was = 0  # the date, or the next take, before the knob dialled it
        if at_once:
            self._log()

    def _log(self):
        if self.app.try_to(slate_log.log, self.app, self.slate):
            words = "Logged: " + slate_log.entry_words(self.slate.last)
            if not self.app.remembered.get("dated"):  # no clock: ask for the date once after power-up
                self.app.remembered["dated"] = True
                date = self.app.settings["date"]
                words += ". Is it the %s?" % day_text(date) if date else ". Set the date"
            self.app.say(words)
            self.ahead = list(self.app.remembered["slate"])

    def row(self, item):
        last = self.slate.last
        if item == _LOG:
            words = slate_log.take_words(self.ahead).rpartition(", ")[0]
            return "%s %d" % (item, self.ahead[3]), words if self.app.canvas.big else words.partition(",")[0]
        if item == _NOTE:
            if not last:
                return item, "no take yet"
            left, words = "Note on take %d" % last[slates.TAKE_NO], last[slates.TEXT]
            if not self.app.canvas.big:
                left, words = "Note %d" % last[slates.TAKE_NO], words.rpartition(", ")[2]
            return left, _NOTES[self.word] if self.dialling and self.word >= 0 else words or "-"
        if item == _DATE:
            return item, day_text(self.app.settings["date"])
        if item == _LETTER:
            return item, chr(64 + self.ahead[1]) if self.ahead[1] else "none"
        if item in _LIMITS:
            return item, "%d" % self.ahead[self._place(item)]
        if item == _CLEAR:
            return item, "push again" if self.sure else "%d takes" % len(self.slate)
        return item, ""

    def _place(self, item):
        """Where a row's value is in self.ahead."""
        return (_SCENE, _LETTER, _SETUP, _TAKE).index(item)

    def turn(self, detents):
        self.sure = False
        ListPage.turn(self, detents)

    def choose(self, item):
        app = self.app
        if item == _LOG:
            self._log()
        elif item == _BACK:
            app.open("slate_recall")
        elif item == _CLEAR:
            if self.sure and app.try_to(self.slate.clear, said="Slate cleared. Undo: back, push"):
                app.can_undo("Slate cleared", once, "firmware.show.slate", "put_back", app.show)
                app.remembered["loss"] = app.undo[-1]
                app.remembered.pop("slate", None)
                app.open("slate")
            self.sure = True
        elif item == _NOTE and not self.slate.last:
            app.say("Log a take first")
        else:
            self.was = app.settings["date"] if item == _DATE else list(self.ahead)
            self.word = 0 if item == _NOTE else -1
            self.start_dialling()

    def dial(self, item, detents):
        if item == _NOTE:
            self.word = (self.word + detents) % len(_NOTES)
        elif item == _DATE:
            # A new device begins at the last day of 2025.
            self.app.settings["date"] = max(1, min(36524, (self.app.settings["date"] or 9497) + detents))
        else:
            low, high = _LIMITS[item]
            n = self._place(item)
            self.ahead[n] = max(low, min(high, self.ahead[n] + detents))
            if item != _TAKE:  # another scene or set-up begins with take 1
                self.ahead[3] = 1

    def accept(self, item):
        app = self.app
        if item == _NOTE:
            app.try_to(self.slate.note, self.slate.last[NUMBER], _NOTES[self.word], said="Noted: " + _NOTES[self.word])
        elif item == _DATE:
            app.remembered["dated"] = True
            app.try_to(app.set_setting, "date", app.settings["date"])
        else:
            app.remembered["slate"] = list(self.ahead)

    def cancel(self, item):
        if item == _DATE:
            self.app.settings["date"] = self.was
        elif item != _NOTE:
            self.ahead = self.was

    def list_hint(self):
        push = {_LOG: "log it", _BACK: "open", _CLEAR: "clear"}.get(self.item(), "change")
        return ("push", push), ("turn", "choose"), ("back", "pages")
