"""The looks: go to one, store one, rename, reorder, delete."""

from firmware.ui.page import Choice


class Page(Choice):
    """Turn to a look, push to go there in its own time; push-and-turn sets the time first."""

    title = "Looks"

    def __init__(self, app):
        Choice.__init__(self, app)
        self.at = app.kept.get("look", 0)
        self.seconds = None

    def rows(self):
        rows = [(name, "") for name in self.app.show.looks.names()]
        return rows + [("+ Store the light as a new look", "")]

    def push_turn(self, detents):
        now = 2 if self.seconds is None else self.seconds
        step = 0.5 if now < 10 else 1 if now < 60 else 10
        self.seconds = max(0, min(600, now + detents * step))

    def choose(self, at):
        self.app.kept["look"] = at
        names = self.app.show.looks.names()
        if at < len(names):
            self.app.try_to(self.app.stage.go, names[at], self.seconds)
        else:
            self.app.open("store")

    def hold(self):
        names = self.app.show.looks.names()
        if self.at < len(names):
            self.app.kept["look"] = self.at
            self.app.open("look_acts", names[self.at])

    def hint(self):
        time = "own time" if self.seconds is None else "%g s" % self.seconds
        return "push: go, %s   push+turn: time   hold: more" % time
