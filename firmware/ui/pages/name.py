"""A name by knob: words of the trade in one turn, then digits and letters. What stands there is what is kept.

Opened with the kind of thing (whose words come first), its old name, what to open then: ("page", *arguments), and the
verb and arguments that the new name is added to. verb must hold no code of the page before: it is `once`, followed by
the names of a module and its function.
"""

from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.page import Page as _Page
from firmware.ui.frame.page import mark_row as _mark_row

_WORDS = {
    "lamp": ("Key", "Fill", "Back", "Kicker", "Hair", "Background", "Practical", "Window", "Top", "Eye", "Bounce",
             "Sky", "Edge", "Under", "Left", "Right"),
    "look": ("Day", "Night", "Dusk", "Dawn", "Evening", "Morning", "Wide", "Close", "Reverse", "Set-up", "Work light",
             "Rain", "Fire", "Moonlight", "Sun"),
    "show": ("Day", "Night", "Studio", "Location", "Kitchen", "Street", "Interview", "Product"),
}
_SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz -'&+./"
_STARTS = (0, 10, 36, 62)  # where digits, capitals, small letters and the rest begin
_DONE, _RUB, _CLEAR = "done", "rub out", "clear"
_FIRST = 3  # the words begin after these three
_MOST = 24
_BACKS = 8  # pushes that the back key takes back; then it leaves


class Page(_Page):
    """A wheel of choices. Push adds the marked one. A turn shows it behind the name, and hold keeps what is shown.
    Push and turn leaps from group to group."""

    title = "Name"
    hints = (("turn", "choose"), ("push", "add"), ("hold", "keep name"), ("push+turn", "leap"), ("back", "take back"))

    def __init__(self, app, kind, old, then, verb, *args):
        _Page.__init__(self, app)
        self.name = old
        self.fresh = bool(old)  # a word takes the place of the old name
        self.was = []  # earlier names, for back
        self.then = then
        self._verb, self._args = verb, args
        self._words = _WORDS.get(kind, ())
        self.at = _FIRST
        self.moved = False

    # --- the wheel ---

    def count(self):
        """How many choices there are."""
        return _FIRST + len(self._words) + len(_SIGNS)

    def choice(self, at):
        """What stands at a place of the wheel."""
        at %= self.count()
        if at < _FIRST:
            return (_DONE, _RUB, _CLEAR)[at]
        at -= _FIRST
        return self._words[at] if at < len(self._words) else _SIGNS[at - len(self._words)]

    def with_choice(self):
        """The name with what is marked added to it."""
        it = self.choice(self.at)
        if not self.moved or it == _DONE:
            return self.name
        if it == _RUB:
            return self.name[:-1]
        if it == _CLEAR:
            return ""
        if len(it) > 1:
            return it if self.fresh or not self.name else (self.name.rstrip() + " " + it)[:_MOST]
        # A digit behind a word stands apart: "Key 2".
        apart = " " if it.isdigit() and self.name and self.name[-1].islower() else ""
        return (self.name + apart + it)[:_MOST]

    # --- gestures ---

    def turn(self, detents):
        self.at = (self.at + detents) % self.count()
        self.moved = True

    def push_turn(self, detents):
        starts = [0, _FIRST] + [_FIRST + len(self._words) + s for s in _STARTS]
        here = max([k for k, start in enumerate(starts) if start <= self.at])
        self.at = starts[(here + (1 if detents > 0 else -1)) % len(starts)]
        self.moved = True

    def push(self):
        self.moved = True
        it, new = self.choice(self.at), self.with_choice()
        if it == _DONE:
            self._finish()
            return
        if new != self.name:
            self.was.append((self.name, self.fresh))
            del self.was[:-_BACKS]
        self.name, self.fresh, self.moved = new, False, False
        if len(it) == 1 and "A" <= it <= "Z":
            self.at += 26  # small letters mostly follow a capital

    def hold(self):
        self.name = self.with_choice()
        self._finish()

    def back(self):
        if self.was:
            self.name, self.fresh = self.was.pop()
            self.moved = False
        else:
            self.app.open(*self.then)

    def _finish(self):
        if self.app.try_to(self._verb, *self._args + (self.name,), said="Named " + self.name):
            self.app.open(*self.then)

    # --- drawing ---

    def body(self, c, top, bottom):
        shown = self.with_choice()
        kept = len(self.name) if shown.startswith(self.name) else 0
        x = 2 * c.pad
        while c.measure(shown, fonts.BODY) > c.width - x - 2 * c.pad:  # a long name shows its end
            shown, kept = shown[1:], max(0, kept - 1)
        y = top + (c.row - c.line_height(fonts.BODY)) // 2
        x += c.text(shown[:kept], x, y, fonts.BODY, theme.TEXT)
        x += c.text(shown[kept:], x, y, fonts.BODY, theme.HOT)
        c.box(x + 1, y + 2, 2, c.line_height(fonts.BODY) - 4, theme.HOT)
        top += c.row
        c.box(0, top - 1, c.width, 1, theme.EDGE)
        yield
        fit = (bottom - top) // c.row
        for k in range(fit):
            it = self.choice(self.at + k - fit // 2)
            ink = _mark_row(c, top + k * c.row, k == fit // 2)
            c.text("space" if it == " " else it, 2 * c.pad, top + k * c.row, fonts.BODY, ink)
            yield
