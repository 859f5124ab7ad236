"""What can be done with one look."""

from firmware.parts import once
from firmware.show import looks_edit
from firmware.ui.frame.page import Choice
from firmware.ui.pages import undo_edits

_CROSS, _STORE, _NAME, _FADE, _PLACE, _COPY, _DELETE = (
    "Crossfade by hand", "Store light here", "Name", "Fade time", "Place in list", "Copy", "Delete")


class Page(Choice):
    """Opened from Looks with the look's name."""

    items = (_CROSS, _STORE, _NAME, _FADE, _PLACE, _COPY, _DELETE)
    hints = (("push", "do it"), ("back", "Looks"))

    def __init__(self, app, name):
        Choice.__init__(self, app)
        self.name = self.title = name
        self.old = app.show.looks.recall(name)[1]  # fade time, ms, or place
        self.value = self.fade = self.old

    def row(self, item):
        if item == _FADE:
            return item, "%g s" % (self.fade / 1000)
        if item == _PLACE:
            at = self.value if self.gripped and self.item() == _PLACE else self.app.show.looks.index(self.name)
            return item, "%d" % (at + 1)
        return item, ""

    def choose(self, item):
        app, looks, name = self.app, self.app.show.looks, self.name
        if item == _CROSS:
            if app.try_to(app.stage.cross, name):
                app.open("look_crossfade", name)
        elif item == _NAME:
            app.open("name", "look", name, ("looks",), once, "firmware.ui.pages.undo_edits", "rename_look", app, name)
        elif item == _FADE:
            self.old = self.fade
            self.grip()
        elif item == _PLACE:
            self.value = looks.index(name)
            self.grip()
        else:
            self._do(item, looks, name)
            app.open("looks")

    def _do(self, item, looks, name):
        app = self.app
        if item == _STORE:
            app.try_to(undo_edits.store_over, app, name, said="Stored in " + name)
        elif item == _DELETE:
            app.try_to(undo_edits.remove_look, app, name, said=name + " deleted. Undo: back, push")
        else:
            new, n = name[:20] + " 2", 2
            while new in looks.names():
                n += 1
                new = "%s %d" % (name[:20], n)
            app.try_to(looks_edit.copy, looks, name, new, said="Copied to " + new)

    def dial(self, item, detents):
        if item == _PLACE:
            self.value = max(0, min(len(self.app.show.looks) - 1, self.value + detents))
            return
        step = 500 if self.fade < 10000 else 1000 if self.fade < 60000 else 10000
        self.fade = max(0, min(600000, self.fade + step * detents))

    def undial(self, item):
        if item == _FADE:
            self.fade = self.old

    def dialled(self, item):
        app = self.app
        if item == _PLACE:
            app.try_to(looks_edit.move, app.show.looks, self.name, self.value)
        elif self.fade != self.old:
            app.try_to(undo_edits.fade_look, app, self.name, self.old, self.fade)

    def leave(self):
        self.app.open("looks")
