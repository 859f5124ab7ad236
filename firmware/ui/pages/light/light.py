"""The Light page: choose lamps, choose what the knob dials, and turn. The device opens it at power-up."""

from micropython import const

from firmware.light import colour
from firmware.parts import once
from firmware.show import resolve
from firmware.show.fixture_light import CCT, HUE, LEVEL, MIX, SAT, SCALE
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import page, theme
from firmware.ui.frame.page_draw import draw_row_ground, draw_scroll_mark, view
from firmware.ui.pages import undo_light
from firmware.ui.pages.light import light_dialling, light_words

ALL, PICKED, MASTER = "All lamps", "Picked", "Master"
_NEAREST = "nearest it can give"
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
        self._choose_row()

    def close(self):
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
            self._prepare_undo()
            app.say(light_dialling.turn(app.stage, app.settings, self.lamps, self.what, steps))

    def _prepare_undo(self):
        """Keep the light as it was, where a run of dialling begins."""
        app, run = self.app, (self.at, self.what)
        if run != self._run or app.now - self.since > _RUN_MS:
            taken = undo_light.take(app.stage, self.lamps)
            app.can_undo("%s %s" % (self._name(), light_words.LABELS.get(self.what, self.what).lower()),
                         once, "firmware.ui.pages.undo_light", "put_back", app.stage, taken)
        self._run, self.since = run, app.now

    def _name(self):
        item = self.item()
        return getattr(item, "name", item)

    def push_turn(self, detents):
        self.at = max(0, min(len(self.items) - 1, self.at + detents))
        self._choose_row()

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
        return ("turn", "dial"), ("push", "next"), ("push+turn", "lamp"), ("hold", "more"), ("back", "pages")

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
        """Only the figures of what the knob dials; the rest follows when it rests."""
        y = top + (self.at - first) * c.row
        edge = c.width - 2 * c.pad
        item = self.item()
        if c.big and item is not ALL and item is not PICKED:
            right, wide = (edge, 90) if self.what != "level" and item is not MASTER else (edge - 96, 60)
            c.box(right - wide, y, wide, c.row - 1, theme.PANEL)
            yield
            words = self._row_value(item)
            yield
            c.text(words, right - wide, y, fonts.BODY, theme.TEXT, width=wide, align=fonts.RIGHT)
            yield
        top += fit * c.row + c.line_height(fonts.SMALL)
        c.box(0, top, c.width, bottom - top, theme.PAPER)
        yield
        yield from self._value(c, top, bottom)

    def _row_value(self, item):
        """The text of what is dialled in a lamp's own row, or in the master's."""
        if item is MASTER:
            return self._master_words()
        if self.what == "level":
            return light_words.level(self.app.settings, self.app.stage.value(item, "level"))
        return self._colour(item, self.app.stage.light(item))

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
        tall = c.line_height(fonts.BIG) + c.line_height(fonts.SMALL)
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
        stage = self.app.stage
        if item is MASTER:
            level, colour = self._master_words(), ""
        elif item is ALL or item is PICKED:
            level, colour = "", "%d" % len(self._picked if item is PICKED else self.app.show.rig.fixtures)
        else:
            if not c.big:
                c.box(x - 1, y + 2, wide + 2, c.row - 5, theme.PAPER)  # dark, where the row is bright
            yield
            light = stage.light(item)
            yield from self._swatch(c, x, y + 3, wide, c.row - 7, item, light, k % 8)
            yield
            level = light_words.level(self.app.settings, light[LEVEL] / SCALE[LEVEL])
            yield
            colour = self._colour(item, light)
            yield
        x += wide + c.pad
        edge = c.width - 2 * c.pad
        if c.big:
            c.text(colour, edge - 90, y, fonts.BODY, ink, width=90, align=fonts.RIGHT)
            edge -= 96
            yield
        elif chosen and self.what == "level":
            level = colour  # the level is below in large figures
        edge -= c.text(level, edge - 60, y, fonts.BODY, ink, width=60, align=fonts.RIGHT) + c.pad
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
        x = c.pad + c.text(number, c.pad, y, fonts.BIG, theme.TEXT) + c.pad
        yield
        line = y + c.baseline(fonts.BIG) - c.baseline(fonts.BODY)
        x += c.text(unit, x, line, fonts.BODY, theme.DIM) + c.pad
        yield
        if note:
            line = y + c.baseline(fonts.BIG) - c.baseline(fonts.SMALL)
            ink = theme.DIM
            if note is _NEAREST:
                ink, note = theme.WARN, note if c.big else "nearest"
            c.text(note, x, line, fonts.SMALL, ink, width=c.width - c.pad - x, align=fonts.RIGHT)
            yield
        high = 4 if c.big else 3
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
            low = high = light_dialling.value(app.stage, self.lamps[0], what)
        else:
            values = [light_dialling.value(app.stage, f, what) for f in self.lamps]
            low, high = min(values), max(values)
        yield
        number, unit = light_words.figure(app.settings, what, high)
        note = ""
        least = number if low == high else light_words.figure(app.settings, what, low)[0]
        if what == "level" and least != number:
            note = "max"
        elif least != number:
            number = least + "…" + number
        elif len(self.lamps) == 1 and app.stage.miss(self.lamps[0]) > 0.004:
            note = _NEAREST
        yield
        return number, unit, note, light_words.gauge(what, high, span)
