"""A page that is a list. The base of most pages: they say what the rows are, and what a push on one does."""

from firmware.ui.frame import theme
from firmware.ui.frame.page import Page
from firmware.ui.frame.page_draw import draw_row, draw_scroll_mark, fits, view


class ListPage(Page):
    """A list. `items` holds what each row stands for; the page fills it, and again when the rows change.

    A turn chooses a row, and a push calls choose(item). Where choose calls self.start_dialling(), the knob dials the
    value of that row from then on: a turn calls dial(item, detents), a push accept(item), the back key cancel(item).
    Where `dials(item)` is true a push and turn does it all at once: choose, dial, and accept when the knob comes up.
    """

    items = ()
    at = 0  # the place of the chosen row
    dialling = False  # True: the knob dials the chosen row's value
    _pushed = False  # True: it does so while the knob is pushed
    dial_hints = ("turn", "change"), ("push", "keep"), ("back", "as it was")
    remember = ""  # the name in app.remembered for the chosen row's place; "": the list always opens at its top
    least = 2  # as of draw_row; 3 where names stand at the right
    tight = False  # True: a row needed the smaller font, so all have it
    _drawn_first = _drawn_at = -1  # what was drawn last: the first row that is seen, and the chosen one

    def __init__(self, app):
        Page.__init__(self, app)
        if self.remember:
            self.at = app.remembered.get(self.remember, 0)

    # --- what a page says of its rows ---

    def row(self, item):
        """The two texts of a row: (left, right)."""
        return item, ""

    def choose(self, item):
        """The knob was pushed on a row."""

    def dials(self, item):
        """True where push and turn dials the row's value: `choose` does nothing there but start_dialling."""
        return False

    def dial(self, item, detents):
        """Change the row's value. detents: more than the knob was turned by where it was turned fast."""

    def accept(self, item):
        """Keep the value that was dialled: the knob was pushed."""

    def cancel(self, item):
        """Bring back the value that the row had: the back key was pushed, or the page is left in the middle."""

    def list_hint(self):
        """The hints while no value is dialled."""
        return (("turn", "choose"),) + self.hints

    def below_height(self, c):
        """How many rows of pixels below the list are for `below`."""
        return 0

    def below(self, c, top, bottom):
        """Draw what stands below the list. May be a generator, as body."""

    # --- what every list does ---

    def start_dialling(self):
        """For choose: the knob now dials this row's value."""
        self.dialling = True

    def item(self):
        """The chosen item, None in an empty list."""
        self.at = max(0, min(self.at, len(self.items) - 1))
        return self.items[self.at] if self.items else None

    def close(self):
        if self.dialling:
            self.cancel(self.item())
        if self.remember:
            self.app.remembered[self.remember] = self.at

    def turn(self, detents):
        if self.dialling:
            self.dial(self.item(), detents * self.app.gestures.pace)
        else:
            self.at = max(0, min(len(self.items) - 1, self.at + detents))

    def push_turn(self, detents):
        item = self.item()
        if not self.dialling and item is not None and self.dials(item):
            self.choose(item)
            self._pushed = self.dialling
        if self.dialling:
            self.dial(item, detents * self.app.gestures.pace)

    def step(self, now):
        if self._pushed and not self.app.gestures.down & 1:
            self._pushed = False
            if self.dialling:
                self.push()
                self.app.screen.touch()

    def push(self):
        item = self.item()
        if self.dialling:
            self.dialling = False
            self.accept(item)
        elif item is not None:
            self.choose(item)

    def back(self):
        if self.dialling:
            self.dialling = False
            self.cancel(self.item())
        else:
            self.leave()

    def hint(self):
        return self.dial_hints if self.dialling else self.list_hint()

    def body(self, c, top, bottom):
        end = bottom - self.below_height(c)
        fit, first = view(c, end - top, self.at, len(self.items))
        yield from self._rows(c, top, end, first, range(first, min(first + fit, len(self.items))))
        if end < bottom:
            yield from self.below(c, end, bottom) or ()

    def redraw(self, c, top, bottom):
        """The row that was left and the row that was come to, if both are in sight, and what is below the list."""
        end = bottom - self.below_height(c)
        _fit, first = view(c, end - top, self.at, len(self.items))
        if first == self._drawn_first and type(self).body is ListPage.body:
            return self._redraw(c, top, end, bottom, first)
        return None

    def _redraw(self, c, top, end, bottom, first):
        changed = {self._drawn_at, self.at} if self.items else ()
        for k in changed:
            c.box(0, top + (k - first) * c.row, c.width, c.row, theme.PAPER)
        yield
        yield from self._rows(c, top, end, first, changed)
        if end < bottom:
            c.box(0, end, c.width, bottom - end, theme.PAPER)
            yield from self.below(c, end, bottom) or ()

    def _rows(self, c, top, end, first, places):
        items, at, dialling = self.items, self.at, self.dialling
        self._drawn_first, self._drawn_at = first, at
        places = [k for k in places if k < len(items)]  # the list may have become shorter
        for k in places:
            if not self.tight and not fits(c, *self.row(items[k])):
                self.tight = True
                self.app.screen.touch()  # those that are drawn already are too large now
            yield
        for k in places:
            left, right = self.row(items[k])
            yield
            yield from draw_row(c, top + (k - first) * c.row, left, right, k == at, dialling, self.tight, self.least)
            yield
        draw_scroll_mark(c, top, end - top, first, len(items))
