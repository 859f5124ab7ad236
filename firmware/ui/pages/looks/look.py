"""What can be done with one look. Opened by Looks."""

from firmware.parts import once
from firmware.show.look_record import SOFT
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import times, undo_edits

_CROSS, _STORE, _NAME, _FADE, _CURVE, _PLACE, _COPY, _DELETE = (
    "Crossfade by hand", "Store light here", "Name", "Fade time", "Fade curve", "Place in list", "Copy", "Delete")


class Page(ListPage):
    """name: the look's."""

    parent = "looks"
    items = (_CROSS, _STORE, _NAME, _FADE, _CURVE, _PLACE, _COPY, _DELETE)
    hints = (("push", "confirm"), ("back", "Looks"))

    def __init__(self, app, name):
        ListPage.__init__(self, app)
        self.name = self.title = name
        fade = app.show.looks.recall(name)[1]
        self.soft = fade & SOFT  # its curve
        self.old = self.fade = fade - self.soft  # ms: as it is in the show, and as it is dialled
        self.place = 0  # in the list, as it is dialled

    def row(self, item):
        if item == _FADE:
            return item, times.seconds(self.fade)
        if item == _CURVE:
            return item, "soft" if self.soft else "linear"
        if item == _PLACE:
            at = self.place if self.dialling and self.item() == _PLACE else self._place()
            return item, "%d" % (at + 1)
        return item, ""

    def _place(self):
        """Where the look is in the order; -1: it turned out to be damaged, and is gone."""
        looks = self.app.show.looks
        return looks.index(self.name) if looks.has(self.name) else -1

    def choose(self, item):
        app, looks, name = self.app, self.app.show.looks, self.name
        if item == _CROSS:
            if app.try_to(app.stage.crossfade, name):
                app.open("look_crossfade", name)
        elif item == _NAME:
            app.open("name", "look", name, ("looks",), once, "firmware.ui.pages.undo_edits", "rename_look", app, name)
        elif item == _FADE:
            self.old = self.fade
            self.start_dialling()
        elif item == _PLACE:
            self.place = self._place()
            self.start_dialling()
        elif item == _CURVE:
            if app.try_to(undo_edits.fade_look, app, name, self.fade + self.soft, self.fade + SOFT - self.soft):
                self.soft = SOFT - self.soft
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
            new = once("firmware.ui.pages.looks.look_store", "numbered", looks.names(), name[:20], 2)
            app.try_to(once, "firmware.show.looks_edit", "copy", looks, name, new, said="Copied to " + new)

    def dial(self, item, detents):
        if item == _PLACE:
            self.place = max(0, min(len(self.app.show.looks) - 1, self.place + detents))
        else:
            self.fade = times.dial_fade(self.fade, detents)

    def cancel(self, item):
        if item == _FADE:
            self.fade = self.old

    def accept(self, item):
        app = self.app
        if item == _PLACE:
            app.try_to(once, "firmware.show.looks_edit", "move", app.show.looks, self.name, self.place)
        elif self.fade != self.old:
            app.try_to(undo_edits.fade_look, app, self.name, self.old + self.soft, self.fade + self.soft)
