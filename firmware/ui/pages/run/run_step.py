"""One step of the running order: its times, how the next step follows, its place. Opened by Run."""

from firmware.parts import once
from firmware.show.running_order import DELAY, FADE, FOLLOW, HOLD, LOOK_FADE
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import times

_TIMES = {"Delay": DELAY, "Fade": FADE, "Hold": HOLD}


class Page(ListPage):
    """step: one of the order's. The order may go on while the page is open."""

    parent = "run"
    items = ("Fade", "Hold", "Next", "Delay", "Go here", "Move up", "Move down", "Take out")
    hints = (("push", "change"), ("back", "Run"))

    def __init__(self, app, step):
        ListPage.__init__(self, app)
        self.order = app.player.order
        self.order_step = step
        self.was = 0
        self._name()

    def _name(self):
        self.title = "%d  %s" % (self.order.place(self.order_step) + 1, self.order.name(self.order_step))

    def row(self, item):
        if item in _TIMES:
            ms = self.order_step[_TIMES[item]]
            return item, "own time" if ms == LOOK_FADE else times.seconds(ms)
        if item == "Next":
            return item, "by itself" if self.order_step[FOLLOW] else "by push"
        return item, ""

    def dial(self, item, detents):
        field = _TIMES[item]
        ms = self.order_step[field]
        if ms == LOOK_FADE:  # it stands one detent below 0 s
            self.order_step[field] = times.dial_fade(0, max(0, detents - 1))
        elif field == FADE and ms < 100 and detents < 0:
            self.order_step[field] = LOOK_FADE
        else:
            self.order_step[field] = times.dial_fade(ms, detents)

    def accept(self, item):
        new, field = self.order_step[_TIMES[item]], _TIMES[item]
        self.order_step[field] = self.was
        self.app.try_to(self.order.set, self.order_step, field, new)

    def cancel(self, item):
        self.order_step[_TIMES[item]] = self.was

    def choose(self, item):
        app, order, at = self.app, self.order, self.order.place(self.order_step)
        if at < 0:
            app.open("run")
        elif item in _TIMES:
            self.was = self.order_step[_TIMES[item]]
            self.start_dialling()
        elif item == "Next":
            app.try_to(order.set, self.order_step, FOLLOW, 1 - self.order_step[FOLLOW])
        elif item == "Go here":
            app.player.jump(at)
            app.open("run")
        elif item == "Take out":
            name = order.name(self.order_step)
            if app.try_to(order.remove, self.order_step, said=name + " taken out. Undo: back, push"):
                app.can_undo("taking out " + name,
                             once, "firmware.ui.pages.run.run_step", "put_back", app, self.order_step, at)
                app.remembered["loss"] = app.undo[-1]
            app.open("run")
        else:
            app.try_to(order.move, self.order_step, max(0, at + (-1 if item == "Move up" else 1)))
            self._name()


def put_back(app, step, at):
    """Put a step back that was taken out: for undo."""
    app.machines.running_order().order.put_back(step, at)
