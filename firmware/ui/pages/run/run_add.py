"""Add looks to the running order. Opened by Run."""

from firmware.ui.frame.list_page import ListPage

_ALL = "All in their order"


class Page(ListPage):
    """A push adds the look at the end of the order. The page stays open for more."""

    title = "Add to Run"
    parent = "run"
    hints = (("push", "add"), ("back", "Run"))

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.items = list(app.show.looks.names()) + [_ALL]
        self.at = 0 if len(app.player.order) else len(self.items) - 1

    def row(self, item):
        order, looks = self.app.player.order, self.app.show.looks
        if item is _ALL:
            return item, "now %d" % len(order)
        number = looks.number(item) if looks.has(item) else 0  # one that turned out to be damaged is gone
        places = [str(n + 1) for n, step in enumerate(order.steps) if step[1] == number and not step[0]]
        return item, ", ".join(places) if len(places) < 4 else "%d times" % len(places)

    def choose(self, item):
        app, looks = self.app, self.app.show.looks
        names = [name for name in looks.names() if item in (_ALL, name)]
        app.try_to(app.player.order.fill, [looks.number(name) for name in names], said="Added: " + item)
        if item is _ALL:
            self.leave()
