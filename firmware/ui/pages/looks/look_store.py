"""Store the light that is on as a new look, under a name and with a fade time that are chosen here. Opened by Looks and
by the actions of Light."""

from firmware.parts import once
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import times

_WORDS = ("Day", "Night", "Dusk", "Dawn", "Evening", "Morning", "Wide", "Close", "Reverse", "Set-up", "Work light")
_OTHER = "Own name"


class Page(ListPage):
    """The rows are ready names, with a number where they are taken; one leads to the page for any name. Push and turn
    dials the fade time, which stands below."""

    title = "Store as"
    parent = "light"
    hints = (("push", "store"), ("push+turn", "fade time"), ("back", "don't"))

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.fade = 2000  # ms
        taken = app.show.looks.names()
        self.items = [numbered(taken, "Look", len(taken) + 1), _OTHER]
        self.items += [numbered(taken, word, 2) if word in taken else word for word in _WORDS]

    def choose(self, name):
        if name is _OTHER:
            self.app.open("name", "look", "", ("light",),
                          once, "firmware.ui.pages.looks.look_store", "store_new", self.app, self.fade / 1000)
        elif self.app.try_to(self.app.stage.store, name, None, self.fade / 1000, said="Stored as " + name):
            self.app.open("light")

    def push_turn(self, detents):
        for _ in range(abs(detents)):
            self.fade = times.dial_fade(self.fade, 1 if detents > 0 else -1)

    def below_height(self, c):
        return c.row

    def below(self, c, top, bottom):
        c.box(0, top, c.width, 1, theme.EDGE)
        c.text("Fade " + times.seconds(self.fade), c.width - c.pad, top + 1, fonts.BODY, theme.TEXT, align=fonts.RIGHT)


def numbered(taken, word, first):
    """The first of "word 2", "word 3" ... that is no name in `taken`. first: the number to begin with."""
    while "%s %d" % (word, first) in taken:
        first += 1
    return "%s %d" % (word, first)


def store_new(app, seconds, name):
    """Store the light that is on as a new look. seconds: its fade time. Errors: ValueError: there is one of that name;
    as Stage.store."""
    if name in app.show.looks.names():
        raise ValueError("There is a look %s: store in it from its own page" % name)
    app.stage.store(name, None, seconds)
