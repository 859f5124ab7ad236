"""The looks: go to one, store one, rename, reorder, delete."""

from firmware.ui.page import Choice

_NEW = "+ Store as a new look"


class Page(Choice):
    """Turn to a look, push to go there in its own time; push-and-turn sets the time first."""

    title = "Looks"
    memory = "look"

    def __init__(self, app):
        Choice.__init__(self, app)
        self.items = app.show.looks.names() + [_NEW]
        self.seconds = None

    def push_turn(self, detents):
        now = 2 if self.seconds is None else self.seconds
        step = 0.5 if now < 10 else 1 if now < 60 else 10
        self.seconds = max(0, min(600, now + detents * step))

    def choose(self, item):
        if item is _NEW:
            self.app.open("store")
        else:
            self.app.try_to(self.app.stage.go, item, self.seconds)

    def hold(self):
        if self.item() is not _NEW:
            self.app.open("look_acts", self.item())

    def hint(self):
        time = "own time" if self.seconds is None else "%g s" % self.seconds
        return ("push", "go, " + time), ("push+turn", "time"), ("hold", "more"), ("back", "pages")
