"""What can be done with one look."""

from firmware.ui.page import Choice


class Page(Choice):
    """Opened from Looks with the look's name."""

    def __init__(self, app, name):
        Choice.__init__(self, app)
        self.name = name
        self.title = name

    items = ("Crossfade by knob", "Store the light here", "Name", "Move up", "Move down", "Delete")
    hints = (("push", "do it"), ("back", "Looks"))

    def choose(self, item):
        app, looks, at = self.app, self.app.show.looks, self.at
        if at == 0:
            app.try_to(app.stage.cross, self.name)
            app.open("cross", self.name)
            return
        if at == 2:
            app.open("name", self.name, lambda new: looks.rename(self.name, new), "looks")
            return
        place = looks.index(self.name)
        if at == 1:
            app.try_to(app.stage.store, self.name, said="Stored in %s" % self.name)
        elif at == 3 and place > 0:
            app.try_to(looks.move, self.name, place - 1)
        elif at == 4 and place < len(looks) - 1:
            app.try_to(looks.move, self.name, place + 1)
        elif at == 5:
            app.try_to(looks.remove, self.name, said="%s deleted" % self.name)
        app.open("looks")

    def leave(self):
        self.app.open("looks")
