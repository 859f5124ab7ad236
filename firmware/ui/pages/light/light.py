"""The Light page: choose lamps, choose what the knob dials, and turn. The device opens it at power-up."""

from micropython import const

from firmware.light import colour
from firmware.parts import Part, once
from firmware.show import resolve
from firmware.show.fixture_light import CCT, HUE, LEVEL, MIX, SAT, SCALE
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import page, theme
from firmware.ui.frame.page_draw import draw_row_ground, draw_scroll_mark, view
from firmware.ui.pages import undo_light
from firmware.ui.pages.light import light_dialling, light_words

ALL, PICKED, MASTER = "All lamps", "Picked", "Master"
_HINTS = (("turn", "dial"), ("push", "next"), ("push+turn", "lamp"), ("hold", "more"), ("back", "pages"),
          ("hold black", "solo"))
_NEAREST = "nearest it can give"
_FIRST_UP = const(2)  # the levels of several lamps are turned up, and were left alone before
_RUN_MS = const(8000)  # undo takes back all dialling since the last pause of this length


class Page(page.Page):
    """A list of all lamps together, those picked, each lamp, and the master; below it is what the knob dials.

    In app.remembered are "lamp": the chosen row, as ALL, PICKED, MASTER or a uid; "what": the parameter or raw channel
    under the knob; "picked": a set of uids.
    """

    title = "Light"
    rough = True

    def __init__(self, app):
        page.Page.__init__(self, app)
        fixtures = app.show.rig.fixtures
        picked = [f for f in fixtures if f.uid in app.remembered.get("picked", ())]
        self.items = [ALL] + ([PICKED] if picked else []) + fixtures + [MASTER]
        self._picked = picked
        self.what = app.remembered.get("what", "level")
        self.at = min(1, len(fixtures))
        for k, item in enumerate(self.items):
            if app.remembered.get("lamp") == getattr(item, "uid", item):
                self.at = k
        self._run = None  # what is being dialled without a pause, for undo: (row, what)
        self._tints = [(0, None)] * 8  # of each of the canvas's swatches, whose colour it has: uid and light
        self._drawn_first = self._drawn_at = -1  # what was drawn last: the first row that is seen, and the chosen one
        self._line = self._line_part = None  # what a feed has on the line (light_feed.py), while there is one
        self._dialled = 0  # 1: in this step; or _FIRST_UP
        self._choose_row()

    def step(self, now):
        feed = self.app.feed
        holds = bool(feed and feed.holds())
        if holds != self.live:
            self.app.screen.touch(True)
            if not self._line:
                self._line_part = Part("firmware.ui.pages.light.light_feed")
                self._line = self._line_part.make("OnLine", self.app)
            self.live = holds
        dialled, self._dialled = self._dialled, 0
        if dialled and holds:
            self._line.tell(self.lamps)
        elif dialled == _FIRST_UP:
            once("firmware.ui.pages.light.light_raise", "offer", self.app, self.lamps)

    def close(self):
        self._line = None
        if self._line_part:
            self._line_part.close()
        self.app.remembered["lamp"] = getattr(self.item(), "uid", self.item())
        self.app.remembered["what"] = self.what

    def item(self):
        """What the chosen row stands for: ALL, PICKED, a fixture or MASTER."""
        return self.items[self.at]

    def chosen(self):
        """The fixtures of the chosen row."""
        item = self.item()
        if item is ALL:
            return self.app.show.rig.fixtures
        if item is PICKED:
            return self._picked
        return [] if item is MASTER else [item]

    def _choose_row(self):
        """After another row was chosen: find what can be dialled there."""
        self.params = []
        for f in self.chosen():
            self.params += [what for what in light_dialling.dialable(f) if what not in self.params]
        if self.what not in self.params and self.params:
            self.what = self.params[0]
        self.lamps = [f for f in self.chosen() if self.what in light_dialling.dialable(f)]  # those that the knob moves
        self.span = light_dialling.span(self.lamps, self.what)

    # --- gestures ---

    def turn(self, detents):
        app = self.app
        steps = detents * app.gestures.pace
        if self.item() is MASTER:
            app.stage.master = round(app.stage.master * 100 + steps) / 100
        elif self.lamps:
            up = self._prepare_undo() and steps > 0 and len(self.lamps) > 1 and self.what == "level"
            app.say(light_dialling.turn(app.stage, app.settings, self.lamps, self.what, steps))
            self._dialled = _FIRST_UP if up else 1

    def _prepare_undo(self):
        """Keep the light as it was, where a run of dialling begins -> True where it does."""
        app, run = self.app, (self.at, self.what)
        begins = run != self._run or app.now - self.since > _RUN_MS
        if begins:
            taken, item = undo_light.take(app.stage, self.lamps), self.item()
            name = getattr(item, "name", "all" if item is ALL else "picked")
            app.can_undo("%s: %s" % (light_words.LABELS.get(self.what, self.what).lower(), name),
                         once, "firmware.ui.pages.undo_light", "put_back", app.stage, taken)
        self._run, self.since = run, app.now
        return begins

    def push_turn(self, detents):
        self.at = max(0, min(len(self.items) - 1, self.at + detents))
        self._choose_row()
        if self.app.stage.solo and self.chosen():
            once("firmware.ui.pages.light.light_solo", "mark", self.app.stage, self.chosen())

    def push(self):
        if not self.app.show.rig.fixtures:
            self.app.open("lamp_kind", None)
        elif self.params:
            self.what = self.params[(self.params.index(self.what) + 1) % len(self.params)]
            self._choose_row()

    def hold(self):
        self.app.open("light_actions", self.item(), self.chosen())

    def hint(self):
        if not self.app.show.rig.fixtures:
            return ("push", "add the first lamp"), ("back", "pages")
        if self.item() is MASTER:
            return ("turn", "master"), ("push+turn", "lamp"), ("hold", "more"), ("back", "pages")
        return _HINTS

    # --- drawing ---

    def body(self, c, top, bottom):
        fit, first = self._view(c, top, bottom)
        yield from self._rows(c, top, fit, first, range(first, min(first + fit, len(self.items))))
        yield from self._under(c, top + fit * c.row, bottom)

    def redraw(self, c, top, bottom):
        fit, first = self._view(c, top, bottom)
        if first != self._drawn_first:
            return None
        if self.at == self._drawn_at:
            return self._redraw_value(c, top, bottom, fit, first)
        return self._redraw(c, top, bottom, fit, first)

    def _redraw_value(self, c, top, bottom, fit, first):
        """Only the figures of what the knob dials, in each row and below; the swatches follow when it rests."""
        item = self.item()
        if c.big:
            for k in range(first, min(first + fit, len(self.items))):
                if self.items[k] in self.lamps or k == self.at and item is MASTER:
                    yield from self._redraw_figure(c, top + (k - first) * c.row, self.items[k], k == self.at)
        top += fit * c.row + c.line_height(fonts.SMALL)
        c.box(0, top, c.width, bottom - top, theme.PAPER)
        yield
        yield from self._value(c, top, bottom)

    def _redraw_figure(self, c, y, item, chosen):
        """What is dialled, in the row of a lamp or of the master."""
        right, wide = c.width - 2 * c.pad - 96, 60
        if item is MASTER:
            words = self._master_words()
        elif self.what == "level":
            words = light_words.level(self.app.settings, self._now(item))
        else:
            right, wide = right + 96, 90
            words = self.live and self._line.by(item) or self._colour(item, self.app.stage.light(item))
        yield
        c.box(right - wide, y, wide, c.row - 1, theme.PANEL if chosen else theme.PAPER)
        yield
        c.text(words, right - wide, y, fonts.BODY, theme.TEXT if chosen else theme.DIM, width=wide, align=fonts.RIGHT)
        yield

    def _now(self, f):
        """The value under the knob of a lamp: as dialled, or where a feed holds it, as it is on the line."""
        return (self._line.value if self.live else light_dialling.value)(self.app.stage, f, self.what)

    def _master_words(self):
        return "%d %%" % (self.app.stage.master * 100 + 0.5)

    def _redraw(self, c, top, bottom, fit, first):
        changed = {self._drawn_at, self.at}
        for k in changed:
            c.box(0, top + (k - first) * c.row, c.width, c.row, theme.PAPER)
        yield from self._rows(c, top, fit, first, changed)
        yield
        top += fit * c.row
        c.box(0, top, c.width, bottom - top, theme.PAPER)
        yield from self._under(c, top, bottom)

    def _view(self, c, top, bottom):
        tall = c.line_height(fonts.BIG) + c.line_height(fonts.SMALL) + (c.row // 2 if c.big else 0)
        return view(c, bottom - top - tall, self.at, len(self.items))

    def _rows(self, c, top, fit, first, places):
        at = self.at
        self._drawn_first, self._drawn_at = first, at
        for k in places:
            yield from self._row(c, top + (k - first) * c.row, self.items[k], k == at, k)
        draw_scroll_mark(c, top, fit * c.row, first, len(self.items))

    def _under(self, c, y, bottom):
        yield from self._strip(c, y)
        yield from self._value(c, y + c.line_height(fonts.SMALL), bottom)

    def _row(self, c, y, item, chosen, k):
        """Draw a row: swatch, name, level, white or colour; as much as there is room for."""
        ink = draw_row_ground(c, y, chosen)
        x = 2 * c.pad
        wide = c.row - 6
        if item is MASTER:
            level, colour = self._master_words(), ""
        elif item is ALL or item is PICKED:
            level, colour = "", "%d" % len(self._picked if item is PICKED else self.app.show.rig.fixtures)
        else:
            if not c.big:
                c.box(x - 1, y + 2, wide + 2, c.row - 5, theme.PAPER)  # dark, where the row is bright
            yield
            light = (self._line if self.live else self.app.stage).light(item)
            yield from self._swatch(c, x, y + 3, wide, c.row - 7, item, light, k % 8)
            yield
            level = light_words.level(self.app.settings, light[LEVEL] / SCALE[LEVEL])
            yield
            colour = self.live and self._line.by(item) or self._colour(item, light)
            yield
        x += wide + c.pad
        edge = c.width - 2 * c.pad
        if c.big:
            c.text(colour, edge - 90, y, fonts.BODY, ink, width=90, align=fonts.RIGHT)
            edge -= 96
            yield
        elif chosen and (self.what == "level" or item is MASTER):
            level = colour  # the level is below in large figures
        edge -= c.text(level, edge - 70, y, fonts.BODY, ink, width=70, align=fonts.RIGHT) + c.pad
        yield
        c.text(getattr(item, "name", item), x, y, fonts.BODY, ink, width=edge - x)

    def _swatch(self, c, x, y, w, h, f, light, index):
        """Draw a lamp's present colour at its present level. index: 0..7, which of the canvas's swatches to use."""
        if self._tints[index][0] != f.uid or self._tints[index][1] != light:  # else it is as it was
            yield
            xy = resolve.chromaticity(light)
            yield
            c.tint(index, *colour.srgb(*xy, light[LEVEL] / SCALE[LEVEL]))
            self._tints[index] = f.uid, light
        c.swatch(x, y, w, h, index)

    def _colour(self, f, light):
        """A lamp's white in words, or its colour where it has one."""
        settings = self.app.settings
        if light[SAT] > 0 and light[MIX] > 0 and f.personality.has("sat"):
            hue = light_words.text(settings, "hue", light[HUE] / SCALE[HUE])
            return hue + " " + light_words.text(settings, "sat", light[SAT] / SCALE[SAT])
        return light_words.text(settings, "cct", light[CCT]) if f.personality.has("cct") else ""

    def _strip(self, c, y):
        """Draw the names of what can be dialled here; the one under the knob stands on HOT."""
        c.box(0, y, c.width, c.line_height(fonts.SMALL), theme.PANEL)
        names = self.params if self.item() is not MASTER else ["Master"]
        at = names.index(self.what) if self.what in names else 0
        x = c.pad
        for k in range(max(0, at - 1), len(names)):
            name = light_words.LABELS.get(names[k], names[k])
            wide = c.measure(name, fonts.SMALL)
            if x + wide > c.width - c.pad:
                c.text("…", x, y, fonts.SMALL, theme.DIM)
                return
            if k == at:
                c.box(x - c.pad // 2, y, wide + c.pad, c.line_height(fonts.SMALL), theme.HOT)
            c.text(name, x, y, fonts.SMALL, theme.PAPER if k == at else theme.DIM)
            x += wide + 2 * c.pad
            yield

    def _value(self, c, y, bottom):
        """Draw the value in large figures, its unit, and a gauge of where it stands."""
        number, unit, note, share = yield from self._value_words()
        yield
        high = 4 if c.big else 3
        y += max(0, bottom - high - 2 - y - c.line_height(fonts.BIG)) * 2 // 3  # away from the rows
        x = c.pad + c.text(number, c.pad, y, fonts.BIG, theme.TEXT) + c.pad
        yield
        line = y + c.baseline(fonts.BIG) - c.baseline(fonts.BODY)
        if x + c.measure(unit, fonts.BODY) < c.width:
            x += c.text(unit, x, line, fonts.BODY, theme.DIM) + c.pad
        yield
        if note:
            line = y + c.baseline(fonts.BIG) - c.baseline(fonts.SMALL)
            ink = theme.DIM
            if note is _NEAREST:
                ink, note = theme.WARN, note if c.big else "nearest"
            c.text(note, x, line, fonts.SMALL, ink, width=c.width - c.pad - x, align=fonts.RIGHT)
            yield
        c.bar(c.pad, bottom - high - 1, c.width - 2 * c.pad, high, share, theme.HOT, theme.LOW)

    def _value_words(self):
        """-> (figures, unit, remark, gauge) of the value under the knob. A generator; another may be under the knob
        before it ends, of which the next picture tells."""
        app, what = self.app, self.what
        span = self.span
        if self.item() is MASTER:
            return "%d" % (app.stage.master * 100 + 0.5), "%", "", app.stage.master_units
        if not self.lamps:
            return "−", "", "no lamp yet", 0
        if len(self.lamps) == 1:
            low = high = self._now(self.lamps[0])
        else:
            values = [self._now(f) for f in self.lamps]
            low, high = min(values), max(values)
        yield
        number, unit = light_words.figure(app.settings, what, high)
        note = self._line.own(self.lamps, what) if self.live else ""
        if note and not app.canvas.big:
            unit = ""  # there is no room for both
        least = number if low == high else light_words.figure(app.settings, what, low)[0]
        if what == "level" and least != number:
            note = "max"
        elif least != number:
            number = least + "…" + number
        elif len(self.lamps) == 1 and not note and app.stage.miss(self.lamps[0]) > 0.004:
            note = _NEAREST
        yield
        return number, unit, note, light_words.gauge(what, high, span)
