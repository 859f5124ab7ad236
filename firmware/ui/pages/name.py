"""A name by the knob: ready words of the trade first, then digits and letters. Opened by all pages that name
something.

It is opened with the kind of thing (whose words come first), its old name, what to open next: ("page", *arguments), and
the verb and arguments to which the new name is added. The verb may hold no code of the page before: it is `once`,
followed by the names of a module and its function.
"""

from firmware.show.address import at
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import page, theme
from firmware.ui.frame.page_draw import draw_row_ground

_WORDS = {
    "lamp": ("Key", "Fill", "Backlight", "Kicker", "Hair", "Background", "Practical", "Window", "Top", "Eye", "Bounce",
             "Sky", "Edge", "Under", "Left", "Right"),
    "look": ("Day", "Night", "Dusk", "Dawn", "Evening", "Morning", "Wide", "Close", "Reverse", "Set-up", "Work light",
             "Rain", "Fire", "Moonlight", "Sun"),
    "show": ("Day", "Night", "Studio", "Location", "Kitchen", "Street", "Interview", "Product"),
}
_LETTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz -'&+./"
_STARTS = (0, 10, 36, 62)  # where digits, capitals, small letters and the rest begin in _LETTERS
_DONE, _RUB_OUT, _CLEAR = "done", "rub out", "clear"
_DONE_AT = 0
_FIRST_WORD = 3  # the ready words begin after the three choices above
_MOST = 24  # characters of a name
_EARLIER = 8  # how many pushes the back key takes back; then it leaves


class Page(page.Page):
    """A wheel of choices: a turn shows the marked one behind the name, a push adds it, and push and turn leaps from
    group to group. Holding the knob gives the name that is shown. What is marked is part of it; right after a push
    nothing is. Something new is offered the first ready word that no other has.

    kind: of what is named, "lamp", "look" or another: which ready words there are. old: its present name, "" for
    something new. verb(app,
    *args, name) gives it the new one. then: what to open after that: (name of the page, *its arguments).
    """

    title = "Name"
    letters = _LETTERS
    most = _MOST
    apart = " "  # between a word and a digit behind it: "Key 2"
    hints = (("turn", "choose"), ("push", "add"), ("hold", "keep name"), ("push+turn", "leap"), ("back", "take back"))

    def __init__(self, app, kind, old, then, verb, *args):
        page.Page.__init__(self, app)
        self.name = old
        self.fresh = bool(old)  # a word takes the place of the old name
        self.earlier = []  # (name, fresh) before each push, for the back key
        self.then = then
        self._verb, self._args = verb, args
        lamp = args[-1] if args else None
        if hasattr(lamp, "address"):
            self.title = ("Lamp at " if app.canvas.big else "At ") + at(lamp.address)
        taken = [f.name for f in app.show.rig.fixtures if f is not lamp] if hasattr(lamp, "address") else (
            app.show.looks.names() if kind == "look" else ())
        words = _WORDS.get("lamp" if kind == "group" else kind, ())
        self._ready = [_free(word, taken) for word in words]
        self.at = _DONE_AT if old else _FIRST_WORD
        for n, word in enumerate(words):
            if not old and word not in taken:
                self.at += n
                break
        self.moved = not old  # True: the wheel's choice is part of the name; False: it was not turned since a push
        self._draft = kind, old, self.title  # under this an unfinished name is remembered
        self._done = True  # nothing has been chosen yet, or it was finished
        if app.remembered.get("name", ("",))[:3] == self._draft:
            self.name, self.fresh, self.moved = app.remembered.pop("name")[3], False, False
            self._done = False
            app.say("The unfinished name is here again")

    # --- the wheel ---

    def count(self):
        """How many choices there are."""
        return _FIRST_WORD + len(self._ready) + len(self.letters)

    def choice(self, at):
        """What stands at a place of the wheel; at may be past its ends."""
        at %= self.count()
        if at < _FIRST_WORD:
            return (_DONE, _RUB_OUT, _CLEAR)[at]
        at -= _FIRST_WORD
        return self._ready[at] if at < len(self._ready) else self.letters[at - len(self._ready)]

    def with_choice(self):
        """The name as it is with the marked choice."""
        it = self.choice(self.at)
        if not self.moved or it == _DONE:
            return self.name
        if it == _RUB_OUT:
            return self.name[:-1]
        if it == _CLEAR:
            return ""
        if len(it) > 1:
            return it if self.fresh or not self.name else (self.name.rstrip() + " " + it)[:self.most]
        apart = self.apart if it.isdigit() and self.name and self.name[-1].islower() else ""
        return (self.name + apart + it)[:self.most]

    # --- gestures ---

    def turn(self, detents):
        self.at = (self.at + detents) % self.count()
        self.moved = True
        self._done = False

    def push_turn(self, detents):
        starts = [0, _FIRST_WORD] + [_FIRST_WORD + len(self._ready) + s for s in _STARTS]
        here = max([k for k, start in enumerate(starts) if start <= self.at])
        self.at = starts[(here + (1 if detents > 0 else -1)) % len(starts)]
        self.moved = True
        self._done = False

    def push(self):
        self.moved = True
        self._done = False
        it, new = self.choice(self.at), self.with_choice()
        if it == _DONE:
            self._finish()
            return
        if new != self.name:
            self.earlier.append((self.name, self.fresh))
            del self.earlier[:-_EARLIER]
        self.name, self.fresh, self.moved = new, False, False
        if len(it) == 1 and "A" <= it <= "Z":
            self.at += 26  # small letters mostly follow a capital

    def hold(self):
        self.name = self.with_choice()
        self._finish()

    def back(self):
        if self.earlier:
            self.name, self.fresh = self.earlier.pop()
            self.moved = False
        else:
            self._done = True
            then = self.then
            while then[0] == "name":  # of several lamps: the others keep their names too
                then = then[3]
            self.app.open(*then)

    def close(self):
        """Another key leads away: what was chosen is here again when the same thing is named again."""
        if not self._done:
            self.app.remembered["name"] = self._draft + (self.with_choice(),)

    def _finish(self):
        """Give the name, and go on to the next page; where the name is refused this one stays."""
        if self.app.try_to(self._verb, *self._args + (self.name,), said="Named " + self.name):
            self._done = True
            self.app.open(*self.then)

    # --- drawing ---

    def body(self, c, top, bottom):
        shown = self.with_choice()
        plain = len(self.name) if shown.startswith(self.name) else 0  # characters that are there without the choice
        x = 2 * c.pad
        while c.measure(shown, fonts.BODY) > c.width - x - 2 * c.pad:  # a long name shows its end
            shown, plain = shown[1:], max(0, plain - 1)
        y = top + (c.row - c.line_height(fonts.BODY)) // 2
        x += c.text(shown[:plain], x, y, fonts.BODY, theme.TEXT)
        x += c.text(shown[plain:], x, y, fonts.BODY, theme.HOT)
        c.box(x + 1, y + 2, 2, c.line_height(fonts.BODY) - 4, theme.HOT)
        top += c.row
        c.box(0, top - 1, c.width, 1, theme.EDGE)
        yield
        fit = (bottom - top) // c.row
        for k in range(fit):
            it = self.choice(self.at + k - fit // 2)
            ink = draw_row_ground(c, top + k * c.row, k == fit // 2 and (self.moved or it == _DONE))
            c.text("space" if it == " " else it, 2 * c.pad, top + k * c.row, fonts.BODY, ink)
            yield


def _free(word, taken):
    """The word, with a number behind it where others have it."""
    name, n = word, 2
    while name in taken:
        name, n = "%s %d" % (word, n), n + 1
    return name
