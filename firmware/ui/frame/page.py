"""What a page is, and the frame around every page: title, state of the stage, hints. Used by all pages.

A page is made when it is opened and dropped, code and all, when it is left (app.open). The app calls turn,
push_turn, push, hold and back with the gestures, `step` once a step, `close` when it is left. A page keeps no
light of its own: it calls the stage and draws what the stage then says. All measures come from the canvas
(row, head, foot, pad, line_height), so that one page serves every panel.
"""

from micropython import const

from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme

_SIGNS = {"turn": "↻", "push": "⤓", "push+turn": "⤓↻", "hold": "⇓", "back": "←", "hold back": "⇓←"}
_MESSAGE = const(4)  # lines of a message, at most


class Page:
    """The life of every page; each says its own title, hints and what the gestures do."""

    title = ""
    hints = ()  # pairs (gesture, what it does now): gestures are turn, push, push+turn, hold, back, look, black
    uses = ()  # modules that go when the page goes: names in firmware/ui, or "show.name"
    live = False  # True: what it shows moves by itself; it is drawn ten times a second

    def __init__(self, app):
        self.app = app

    def turn(self, detents):
        """The knob was turned."""

    def push_turn(self, detents):
        """The knob was turned while pushed."""

    def push(self):
        """The knob was pushed and let go."""

    def hold(self):
        """The knob was held down."""

    def back(self):
        """The back key: to the list of pages."""
        self.app.open("home")

    def step(self, now):
        """Once a step while the page is open. now: ms."""

    def close(self):
        """The page is being left: put what the next opening needs into app.remembered."""

    def hint(self):
        """The hints of this moment: pairs (gesture, what it does now in one or two short words)."""
        return self.hints

    def body(self, c, top, bottom):
        """Draw between rows top and bottom of canvas c, which is empty there. May be a generator that yields
        where a step of the app may come between: after every row or so. What it read before a yield may have
        changed after a turn of the knob, never after a push or a key."""

    def again(self, c, top, bottom):
        """A generator that draws, over the body as it is, what the last turn of the knob changed; None: the whole body
        is drawn."""


class Choice(Page):
    """A list. `items` holds what each row stands for; the page fills it, and anew when the rows change.

    Turn chooses a row, push calls choose(item). A page whose choose calls self.grip() lets the knob dial that
    row's value from then on: turn calls dial(item, detents), push lets go, back calls undial(item).
    """

    items = ()
    at = 0  # the chosen row
    gripped = False  # True: the knob dials the chosen row's value
    _first = _lit = -1  # what was drawn last: the first row seen, and the chosen one
    memory = ""  # name under which app.remembered remembers the chosen row, "" for not at all

    def __init__(self, app):
        Page.__init__(self, app)
        if self.memory:
            self.at = app.remembered.get(self.memory, 0)

    def row(self, item):
        """The two texts of a row: (left, right)."""
        return item, ""

    def choose(self, item):
        """The knob was pushed on a row."""

    def dial(self, item, detents):
        """The knob was turned on a gripped row; detents are more than were turned when it was turned fast."""

    def undial(self, item):
        """The back key on a gripped row: bring back the value it had."""

    def dialled(self, item):
        """The knob was pushed on a gripped row: keep the value that it has now."""

    def grip(self):
        """From choose: the knob now dials this row's value."""
        self.gripped = True

    def item(self):
        """The chosen item, None in an empty list."""
        self.at = max(0, min(self.at, len(self.items) - 1))
        return self.items[self.at] if self.items else None

    def close(self):
        if self.memory:
            self.app.remembered[self.memory] = self.at

    def turn(self, detents):
        if self.gripped:
            self.dial(self.item(), detents * self.app.gestures.pace)
        else:
            self.at = max(0, min(len(self.items) - 1, self.at + detents))

    def push(self):
        item = self.item()
        if self.gripped:
            self.gripped = False
            self.dialled(item)
        elif item is not None:
            self.choose(item)

    def back(self):
        if self.gripped:
            self.gripped = False
            self.undial(self.item())
        else:
            self.leave()

    def leave(self):
        """The back key in the list: to the list of pages."""
        self.app.open("home")

    def hint(self):
        if self.gripped:
            return ("turn", "change"), ("push", "keep"), ("back", "as it was")
        return (("turn", "choose"),) + self.hints

    def under(self, c):
        """How many rows of pixels below the list are for `below`."""
        return 0

    def below(self, c, top, bottom):
        """Draw what stands below the list. May be a generator, as body."""

    def body(self, c, top, bottom):
        end = bottom - self.under(c)
        fit, first = view(c, end - top, self.at, len(self.items))
        yield from self._rows(c, top, end, first, range(first, min(first + fit, len(self.items))))
        if end < bottom:
            yield from self.below(c, end, bottom) or ()

    def again(self, c, top, bottom):
        """The row left and the row come to, if they are in sight, and what is below the list."""
        end = bottom - self.under(c)
        fit, first = view(c, end - top, self.at, len(self.items))
        if first == self._first and type(self).body is Choice.body:
            return self._again(c, top, end, bottom, first)
        return None

    def _again(self, c, top, end, bottom, first):
        rows = {self._lit, self.at} if self.items else ()
        for k in rows:
            c.box(0, top + (k - first) * c.row, c.width, c.row, theme.PAPER)
        yield
        yield from self._rows(c, top, end, first, rows)
        if end < bottom:
            c.box(0, end, c.width, bottom - end, theme.PAPER)
            yield from self.below(c, end, bottom) or ()

    def _rows(self, c, top, end, first, rows):
        items, at, gripped = self.items, self.at, self.gripped
        self._first, self._lit = first, at
        for k in rows:
            left, right = self.row(items[k])
            draw_row(c, top + (k - first) * c.row, left, right, k == at, gripped)
            yield
        scroll(c, top, end - top, first, len(items))


def view(c, high, at, count):
    """(rows that fit into so many pixels, the first one seen) of a list whose row `at` is chosen."""
    fit = high // c.row
    return fit, max(0, min(at - fit // 2, count - fit))


def draw_row(c, y, left, right, chosen, gripped=False):
    """One row of a list: the chosen one has a bar at its left; the value that the knob dials stands on HOT."""
    ink = mark_row(c, y, chosen)
    at = 2 * c.pad
    edge = c.width - 2 * c.pad
    font, wide = _font(c, left, right, edge - at)
    line = y + c.baseline(fonts.BODY) - c.baseline(font)
    if right:
        value = ink
        if chosen and gripped:
            value = theme.PAPER if c.big else theme.TEXT
            c.box(edge - wide - c.pad, y, wide + 2 * c.pad, c.row - 1, theme.HOT if c.big else theme.PAPER)
        c.text(right, edge - wide, line, font, value, width=wide)
        edge -= wide + 2 * c.pad
    c.text(left, at, line, font, ink, width=edge - at)


def _font(c, left, right, room):
    """(font, width of the right text) for a row: the smaller font where the larger has no room for both, and then
    the right text gives way, but not under a third of the row."""
    for font in (fonts.BODY, fonts.SMALL):
        wide = c.measure(right, font)
        spare = room - c.measure(left, font) - (2 * c.pad if right else 0)
        if wide <= spare:
            break
    return font, min(wide, max(spare, room // 3))


def mark_row(c, y, chosen):
    """The ground of a row -> the ink to write on it. Chosen: a bar at its left and brighter letters, or, with one
    bit, turned over."""
    if not chosen:
        return theme.DIM
    if not c.big:
        c.box(0, y, c.width - 3, c.row, theme.HOT)
        return theme.PAPER
    c.box(0, y, c.width, c.row - 1, theme.PANEL)
    c.box(0, y, c.pad, c.row - 1, theme.HOT)
    return theme.TEXT


def scroll(c, y, height, first, count):
    """A mark at the right edge: which part of a longer list is seen."""
    fit = height // c.row
    if count <= fit:
        return
    height = fit * c.row
    c.box(c.width - 2, y, 2, height, theme.LOW)
    c.box(c.width - 2, y + height * first // count, 2, max(2, height * fit // count), theme.EDGE)


def draw(page, c, turned=False):
    """Draw a page and the frame around it, a slice at each next(); the canvas is whole at the end. turned: only what a
    turn of the knob changed, where the page can tell."""
    top, bottom = c.head, c.height - c.foot
    parts = page.again(c, top, bottom) if turned else None
    if parts is None:
        c.fill(theme.PAPER)
        yield
        head(page, c)
        yield
        parts = page.body(c, top, bottom)
    yield from parts or ()
    yield
    yield from foot(page, c)


def head(page, c):
    """The title line: the page's name, and what keeps the light from being as dialled."""
    app = page.app
    said = state(app)
    font = fonts.BODY if c.big else fonts.SMALL
    c.box(0, 0, c.width, c.head - 1, theme.PANEL)
    wide = min(c.measure(said, font), c.width * 2 // 3)
    if wide:
        x = c.width - c.pad - wide
        strong = app.stage.blackout or app.stage.full or app.locked
        if strong:
            c.box(x - c.pad, 0, wide + 2 * c.pad, c.head - 1, theme.HOT)
        c.text(said, x, 0, font, theme.PAPER if strong else theme.HOT, width=wide)
        wide += 2 * c.pad
    c.text(page.title, c.pad, 0, font, theme.TEXT, width=c.width - wide - 2 * c.pad)


def state(app):
    """What keeps the light from being as dialled, in a word or two; "" where nothing does."""
    stage = app.stage
    out = "LOCKED " if app.locked else ""
    if stage.blackout:
        return out + "BLACK"
    if stage.full:
        return out + "ALL FULL"
    if stage.paused:
        return out + "PAUSED"
    if app.player and app.player.left():
        return out + app.player.words()
    left = stage.left()
    if left > 0 and not out:
        return "fade %d.%d s" % (left // 1000, left % 1000 // 100)
    if stage.master_units < 65536 and not out:
        return "master %d%%" % ((stage.master_units * 100 + 32768) >> 16)
    return out.strip() or (app.feed.word() if app.feed else "")


def foot(page, c):
    """The hints, or a message in their place."""
    app, screen = page.app, page.app.screen
    tall = c.line_height(fonts.SMALL)
    lines = c.foot // tall
    more = 0  # lines that a message takes of the page
    if screen.message:
        more = max(0, note(c, screen.message, 0, fonts.SMALL, -1, _MESSAGE) - lines)
    y = c.height - c.foot - more * tall
    c.box(0, y, c.width, c.height - y, theme.PAPER)
    c.box(0, y, c.width, 1, theme.EDGE)
    y += c.foot % tall
    screen.turns = 1
    if screen.message:
        note(c, screen.message, y, fonts.SMALL, theme.HOT, _MESSAGE)
        return
    yield
    spread = hint_lines(c, page.hint() if not app.locked else LOCKED)
    yield
    screen.turns = (len(spread) + lines - 1) // lines
    turn = screen.turn % max(1, screen.turns) * lines
    yield
    for pairs in spread[turn:turn + lines]:
        x = c.pad
        for gesture, does in pairs:
            x += c.text(sign(c, gesture), x, y, fonts.SMALL, theme.DIM) + c.pad // 2 + 1
            x += c.text(does, x, y, fonts.SMALL, theme.TEXT) + c.pad + 2
            yield
        y += c.line_height(fonts.SMALL)


LOCKED = (("hold back", "unlock"), ("black", "blackout"))


def hint_lines(c, hints):
    """Hints packed into lines of the panel's width: no hint is ever cut, they take turns where there is no room."""
    out, x = [], c.width
    for pair in hints:
        wide = c.measure(sign(c, pair[0]), fonts.SMALL) + c.measure(pair[1], fonts.SMALL) + c.pad // 2 + 1
        if x + wide > c.width - c.pad:
            out.append([])
            x = c.pad
        out[-1].append(pair)
        x += wide + c.pad + 2
    return out


def sign(c, gesture):
    """A gesture as the hints write it: in words, or on a small panel as a sign."""
    return gesture if c.big else _SIGNS.get(gesture, gesture)


def note(c, words, y, font, ink, lines=2):
    """Write a text in at most so many lines from y down; what has no room in the last ends in an ellipsis. -> the
    lines it takes. ink -1: only count them."""
    room = c.width - 2 * c.pad
    line, count = "", 1
    if c.measure(words, font) <= room:
        line, words = words, ""
    for word in words.split():
        longer = line + " " + word if line else word
        if line and count < lines and c.measure(longer, font) > room:
            if ink >= 0:
                c.text(line, c.pad, y, font, ink, width=room)
            y += c.line_height(font)
            count += 1
            longer = word
        line = longer
    if ink >= 0:
        c.text(line, c.pad, y, font, ink, width=room)
    return count
