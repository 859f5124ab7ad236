"""One step of the running order: its times, what follows, its place."""

from firmware.parts import once
from firmware.show.running_order import DELAY, FADE, FOLLOW, HOLD, LOOK_FADE
from firmware.ui.frame.page import Choice

_TIMES = {"Delay": DELAY, "Fade": FADE, "Hold": HOLD}


class Page(Choice):
    """Opened from Run with the step. The order may go on meanwhile."""

    items = ("Fade", "Hold", "Next", "Delay", "Go here", "Move up", "Move down", "Take out")
    hints = (("push", "change"), ("back", "Run"))

    def __init__(self, app, step):
        Choice.__init__(self, app)
        self.order = app.player.order
        self.what = step
        self.was = 0
        self._name()

    def _name(self):
        self.title = "%d  %s" % (self.order.place(self.what) + 1, self.order.name(self.what))

    def row(self, item):
        if item in _TIMES:
            ms = self.what[_TIMES[item]]
            return item, "own time" if ms == LOOK_FADE else "%g s" % (ms / 1000)
        if item == "Next":
            return item, "by itself" if self.what[FOLLOW] else "by push"
        return item, ""

    def dial(self, item, detents):
        field = _TIMES[item]
        tenths = max(0, self.what[field]) // 100
        step = 5 if tenths < 100 else 10 if tenths < 600 else 100
        if self.what[field] == LOOK_FADE:
            tenths, detents = 0, max(0, detents - 1)
        elif field == FADE and tenths == 0 and detents < 0:
            self.what[field] = LOOK_FADE
            return
        self.what[field] = max(0, min(6000, tenths + detents * step)) * 100

    def dialled(self, item):
        new, field = self.what[_TIMES[item]], _TIMES[item]
        self.what[field] = self.was
        self.app.try_to(self.order.set, self.what, field, new)

    def undial(self, item):
        self.what[_TIMES[item]] = self.was

    def choose(self, item):
        app, order, at = self.app, self.order, self.order.place(self.what)
        if at < 0:
            app.open("run")
        elif item in _TIMES:
            self.was = self.what[_TIMES[item]]
            self.grip()
        elif item == "Next":
            app.try_to(order.set, self.what, FOLLOW, 1 - self.what[FOLLOW])
        elif item == "Go here":
            app.player.jump(at)
            app.open("run")
        elif item == "Take out":
            name = "%s taken out" % order.name(self.what)
            if app.try_to(order.remove, self.what, said=name):
                app.can_undo(name, once, "firmware.ui.pages.run.run_step", "put_back", app, self.what, at)
            app.open("run")
        else:
            app.try_to(order.move, self.what, max(0, at + (-1 if item == "Move up" else 1)))
            self._name()

    def close(self):
        if self.gripped:  # left in mid-dial by the look key: as with the back key
            self.undial(self.item())

    def leave(self):
        self.app.open("run")


def put_back(app, step, at):
    """Undo of taking a step out."""
    app.machines.running_order().order.put_back(step, at)
