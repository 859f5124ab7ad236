"""Draws a page, and what all pages have: the title line with the state of the stage, the hints or a message at the
foot; and for the pages the rows of lists. Used by the screen and by pages.
"""

from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme

LOCKED_HINTS = (("hold back", "unlock"), ("black", "all dark"))
_GESTURE_SIGNS = {"turn": "↻", "push": "⤓", "push+turn": "⤓↻", "back": "←", "hold back": "hold ←"}


def draw(page, c, turned=False):
    """Draw a page and its frame: a generator that draws a slice at each next(). The canvas is whole at the end. turned:
    draw only what a turn of the knob changed, where the page can tell."""
    top, bottom = c.head, c.height - c.foot
    slices = page.redraw(c, top, bottom) if turned else None
    whole = slices is None
    if whole:
        c.fill(theme.PAPER)
        yield
        yield from _draw_title(page, c)
        yield
        slices = page.body(c, top, bottom)
    yield from slices or ()
    if not whole:
        yield
        if _state(page.app) != page.app.screen.state:
            c.box(0, 0, c.width, top, theme.PAPER)
            yield from _draw_title(page, c)
            yield
    if whole or _hints(page) != page.app.screen.hints:
        yield
        yield from draw_foot(page, c)


def _hints(page):
    return LOCKED_HINTS if page.app.locked else page.hint()


def _draw_title(page, c):
    """The title line: the page's name, and what keeps the light from being as dialled. A generator."""
    app = page.app
    words = app.screen.state = _state(app)
    font = fonts.BODY if c.big else fonts.SMALL
    c.box(0, 0, c.width, c.head - 1, theme.PANEL)
    strong = app.stage.blackout or app.stage.full or app.stage.solo or app.locked
    wide = min(c.measure(words, font), c.width - 2 * c.pad if strong else c.width * 2 // 3)
    yield
    if wide:
        x = c.width - c.pad - wide
        if strong:
            c.box(x - c.pad, 0, wide + 2 * c.pad, c.head - 1, theme.HOT)
        c.text(words, x, 0, font, theme.PAPER if strong else theme.HOT, width=wide)
        yield
        wide += 2 * c.pad
    room = c.width - wide - 2 * c.pad
    name = page.named and page.title != type(page).title and room > c.width // 3
    if name or c.measure(page.title, font) <= room:  # only a name is cut
        c.text(page.title, c.pad, 0, font, theme.TEXT, width=room)


def _state(app):
    """What keeps the light from being as dialled, or from being that of the look that is on, in a word or two."""
    stage = app.stage
    locked = "LOCKED " if app.locked else ""
    if stage.blackout:
        return locked + ("BLACK " + app.feed.word() if app.feed and app.feed.lit else "BLACK")
    if stage.full:
        return locked + "ALL FULL"
    if stage.solo:
        return locked + "SOLO"
    if stage.paused:
        return locked + "PAUSED"
    if app.player and app.player.left() and not locked:
        words = app.player.words()
        return words if app.canvas.big else words.partition(" ")[2]  # without the number of the step
    left = stage.left()
    if left > 0 and not locked:
        return "fade %d.%d s" % (left // 1000, left % 1000 // 100)
    if stage.master_units < 65536 and not locked:
        return "master %d%%" % ((stage.master_units * 100 + 32768) >> 16)
    return locked.strip() or app.feed and app.feed.word() or ("changed" if stage.edited and stage.look else "")


def draw_foot(page, c):
    """Draw the hints, or a message in their place: a generator. A message takes nothing of the page, where somebody
    may be dialling."""
    screen = page.app.screen
    tall = c.line_height(fonts.SMALL)
    lines = c.foot // tall
    y = c.height - c.foot
    c.box(0, y, c.width, c.foot, theme.PAPER)
    c.box(0, y, c.width, 1, theme.EDGE)
    y += c.foot % tall
    screen.hint_groups = 1
    if screen.message:
        yield from _message_piece(c, screen, y, lines)
        return
    yield
    hints = _hints(page)
    if hints != screen.hints:
        screen.hints = None
        screen.hint_spread = yield from hint_lines(c, hints)
        screen.hints = hints
    spread = screen.hint_spread
    screen.hint_groups = (len(spread) + lines - 1) // lines
    first = screen.hint_group % max(1, screen.hint_groups) * lines
    yield
    for pairs in spread[first:first + lines]:
        x = c.pad
        for gesture, does in pairs:
            sign, ink = gesture_sign(c, gesture), theme.DIM
            if not c.big:  # with one ink, a key stands on a cap
                c.box(x - 1, y, c.measure(sign, fonts.SMALL) + 2, tall, theme.HOT)
                ink = theme.PAPER
            x += c.text(sign, x, y, fonts.SMALL, ink) + c.pad // 2 + 1
            yield
            x += c.text(does, x, y, fonts.SMALL, theme.TEXT) + c.pad + 2
            yield
        y += c.line_height(fonts.SMALL)


def _message_piece(c, screen, y, lines):
    """Draw so many lines of the message; the screen brings the rest later."""
    words, room = screen.message, c.width - 2 * c.pad
    end = 0
    for n in range(lines):
        at = end
        while end < len(words):
            after = words.find(" ", end) + 1 or len(words)
            long = c.measure(words[at:after].rstrip(), fonts.SMALL) > room
            yield
            if long and end > at:
                break
            end = after
        c.text(words[at:end].rstrip(), c.pad, y + n * c.line_height(fonts.SMALL), fonts.SMALL, theme.HOT, width=room)
        yield
    screen.shown = end


def hint_lines(c, hints):
    """Hints packed into lines of the panel's width -> lists of pairs. No hint is ever cut; where there is no room for
    all lines, the screen shows them in groups, one after the other. A generator, since measuring takes its time."""
    out, x = [], c.width
    for pair in hints:
        wide = c.measure(gesture_sign(c, pair[0]), fonts.SMALL) + c.measure(pair[1], fonts.SMALL) + c.pad // 2 + 1
        if x + wide > c.width - c.pad:
            out.append([])
            x = c.pad
        out[-1].append(pair)
        x += wide + c.pad + 2
        yield
    return out


def gesture_sign(c, gesture):
    """A gesture as the hints write it: in words, or on a small panel as a sign."""
    return gesture if c.big else _GESTURE_SIGNS.get(gesture, gesture)


# --- the rows of lists ---


def view(c, height, at, count):
    """(rows that fit into so many pixels, the first one that is seen) of a list whose row `at` is chosen."""
    fit = height // c.row
    return fit, max(0, min(at - fit // 2, count - fit))


def draw_row(c, y, left, right, chosen, dialling=False, tight=False, least=2):
    """Draw a row. The chosen one has a bar at its left; the value that the knob dials stands on HOT. tight: in the
    smaller font, as other rows of the list need it. least: where both have no room, the right text keeps this
    part of the row: half (2), a third (3). A generator."""
    ink = draw_row_ground(c, y, chosen)
    at = 2 * c.pad
    edge = c.width - 2 * c.pad
    yield
    font = fonts.SMALL if tight or not fits(c, left, right) else fonts.BODY
    yield
    wide = min(c.measure(right, font), max((c.width - 1) // least, edge - at - 2 * c.pad - c.measure(left, font)))
    line = y + c.baseline(fonts.BODY) - c.baseline(font)
    if right:
        value = ink
        if chosen and dialling:
            value = theme.PAPER if c.big else theme.TEXT
            c.box(edge - wide - c.pad, y, wide + 2 * c.pad, c.row - 1, theme.HOT if c.big else theme.PAPER)
        c.text(right, edge - wide, line, font, value, width=wide)
        yield
        edge -= wide + 2 * c.pad
    c.text(left, at, line, font, ink, width=edge - at)


# Machine code on the chips.
def fits(c, left, right):
    """True where a row has room for both texts in the larger font. Where even the smaller has none, draw_row cuts."""
    wide = c.measure(left, fonts.BODY) + (c.measure(right, fonts.BODY) + 2 * c.pad if right else 0)
    return wide <= c.width - 4 * c.pad


# Machine code on the chips.
def draw_row_ground(c, y, chosen):
    """Draw the ground of a row -> the ink to write on it. The chosen row has a bar at its left and brighter letters,
    or, with one bit, its colours swapped."""
    if not chosen:
        return theme.DIM
    if not c.big:
        c.box(0, y, c.width - 3, c.row, theme.HOT)
        return theme.PAPER
    c.box(0, y, c.width, c.row - 1, theme.PANEL)
    c.box(0, y, c.pad, c.row - 1, theme.HOT)
    return theme.TEXT


def draw_scroll_mark(c, y, height, first, count):
    """Mark at the right edge which part of a longer list is seen."""
    fit = height // c.row
    if count <= fit:
        return
    height = fit * c.row
    c.box(c.width - 2, y, 2, height, theme.LOW)
    c.box(c.width - 2, y + height * first // count, 2, max(2, height * fit // count), theme.EDGE)
