"""A name by knob: words of the trade first, then letters. Opened with (old name, what takes the new one, next page)."""

from firmware.ui import canvas as fonts
from firmware.ui import theme
from firmware.ui.page import Page as _Page

_WORDS = ("Key", "Fill", "Back", "Kicker", "Hair", "Background", "Practical", "Window", "Top", "Eye", "Bounce", "Sky")
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 -'&+./"
_GAP = 22
_DONE, _RUB = "done", "rub out"


class Page(_Page):
    """Turn to a word or letter, push to add it; "done" gives the name to `take`."""

    title = "Name"
    hints = (("turn", "choose"), ("push", "add"), ("hold", "done"), ("back", "leave"))

    def __init__(self, app, old, take, then):
        _Page.__init__(self, app)
        self.name = old
        self.fresh = True  # the first word replaces the old name
        self.take = take
        self.then = then
        self.at = 1 if not old else 0

    def wheel(self):
        """All choices: done, words, letters, rub out."""
        return (_DONE,) + _WORDS + tuple(_LETTERS) + (_RUB,)

    def turn(self, detents):
        self.at = (self.at + detents) % len(self.wheel())

    def push(self):
        it = self.wheel()[self.at]
        if it == _DONE:
            if self.app.try_to(self.take, self.name, said="Named: " + self.name):
                self.app.open(self.then)
        elif it == _RUB:
            self.name, self.fresh = self.name[:-1], False
        elif len(it) > 1:
            self.name = it if self.fresh or not self.name else self.name + " " + it
            self.fresh, self.at = False, 0
        else:
            self.name, self.fresh = ("" if self.fresh else self.name) + it, False

    def hold(self):
        self.at = 0
        self.push()

    def back(self):
        self.app.open(self.then)

    def body(self, c, top, bottom):
        c.text(self.name or "no name yet", 10, top + 12, fonts.BODY, theme.TEXT, width=c.width - 20)
        c.box(10, top + 36, c.width - 20, 1, theme.DIM)
        wheel = self.wheel()
        for k in range(-2, 3):
            it = wheel[(self.at + k) % len(wheel)]
            ink = theme.TEXT if k == 0 else theme.DIM
            if k == 0:
                c.box(0, top + 94, 4, 20, theme.HOT)
            it = "space" if it == " " else it
            c.text(it, 24, top + 94 + k * _GAP, fonts.BODY, ink, width=c.width - 40)

