"""Dial light: choose lamps, choose what, turn. The page that the device wakes up on."""

from firmware.ui import canvas as fonts
from firmware.ui import theme, words
from firmware.ui.page import Page as _Page

_FIRST = 1 / 64  # level of a lamp that is turned up from out: six stops under full
_STEP = {"level": 0.1, "duv": 0.001, "hue": 2, "sat": 0.02, "mix": 0.02}
_PARAMS = ("level", "cct", "duv", "hue", "sat", "mix")


class Page(_Page):
    """Row 0 is all lamps together, then one a row, then the master."""

    title = "Light"

    def __init__(self, app):
        _Page.__init__(self, app)
        self.at = min(app.kept.get("lamp", 1), len(app.show.rig))
        self.what = app.kept.get("what", "level")

    def chosen(self):
        """The fixtures that the knob moves now."""
        fixtures = self.app.show.rig.fixtures
        return fixtures if self.at == 0 else fixtures[self.at - 1:self.at]

    def on_master(self):
        """True while the knob moves the master."""
        return self.at > len(self.app.show.rig)

    def params(self):
        """What can be dialled on the chosen lamps: parameters, then raw channels."""
        lamps = self.chosen()
        out = [p for p in _PARAMS if any(f.personality.has(p) for f in lamps)]
        for f in lamps:
            out += [e for e in f.personality.extras() if e not in out]
        return out or ["level"]

    def turn(self, detents):
        stage = self.app.stage
        if self.on_master():
            stage.master = round(stage.master * 50 + detents) / 50
            return
        lamps = [f for f in self.chosen() if self.what in self._can(f)]
        if not lamps:
            return
        if self.what == "level":
            if detents > 0 and not any(stage.value(f, "level") for f in lamps):
                for f in lamps:
                    stage.dial(f, level=_FIRST)
            stage.turn(lamps, "level", detents * _STEP["level"])
            self.app.say(stage.note)
        else:
            # All chosen lamps go to the same value: that is how lamps are brought together.
            value = self._next(lamps[0], detents)
            for f in lamps:
                stage.dial(f, **{self.what: value})

    def push_turn(self, detents):
        self.at = max(0, min(len(self.app.show.rig) + 1, self.at + detents))
        self.app.kept["lamp"] = self.at
        if not self.on_master() and self.what not in self.params():
            self.what = "level"

    def push(self):
        if self.on_master():
            return
        names = self.params()
        self.what = names[(names.index(self.what) + 1) % len(names)] if self.what in names else names[0]
        self.app.kept["what"] = self.what

    def hold(self):
        self.app.open("store")

    def hint(self):
        if not len(self.app.show.rig):
            return ("back", "to Rig: add lamps"),
        return ("turn", "dial"), ("push", "next"), ("push+turn", "lamp"), ("hold", "store"), ("back", "pages")

    def body(self, c, top, bottom):
        fixtures = self.app.show.rig.fixtures
        names = ["All lamps"] + [f.name for f in fixtures] + ["Master"]
        panel = bottom - 2 * c.row - 4
        fit = (panel - top) // c.row
        first = max(0, min(self.at - fit // 2, len(names) - fit))
        for k in range(first, min(first + fit, len(names))):
            self._row(c, top + (k - first) * c.row, k, names[k])
        self._value(c, panel)

    def _row(self, c, y, k, name):
        on = k == self.at
        if on:
            c.box(0, y, c.width, c.row - 2, theme.PANEL)
            c.box(0, y, 4, c.row - 2, theme.HOT)
        ink = theme.TEXT if on else theme.DIM
        stage, rig = self.app.stage, self.app.show.rig
        c.text(name, 34, y + 2, fonts.BODY, ink, width=140)
        if 0 < k <= len(rig):
            f = rig.fixtures[k - 1]
            self.app.swatch(c, 10, y + 3, 18, c.row - 8, f, (k - 1) % 8)
            level = stage.value(f, "level")
            c.text(words.stops(level), 180, y + 2, fonts.BODY, ink, width=60, align=2)
            if f.personality.has("cct"):
                c.text(words.text("cct", stage.value(f, "cct")), 244, y + 2, fonts.BODY, ink, width=70, align=2)
        elif k > len(rig):
            c.text("%d %%" % round(stage.master * 100), 180, y + 2, fonts.BODY, ink, width=60, align=2)

    def _value(self, c, y):
        c.box(0, y, c.width, 1, theme.DIM)
        if self.on_master():
            label, value = "Master", ("%d" % round(self.app.stage.master * 100), "%")
        else:
            lamps = [f for f in self.chosen() if self.what in self._can(f)]
            label = words.LABELS.get(self.what, self.what)
            value = words.figure(self.what, self._value_of(lamps[0])) if lamps else ("-", "")
        c.text(label, 8, y + 14, fonts.BODY, theme.DIM, width=130)
        c.text(value[0], 130, y + 4, fonts.BIG, theme.TEXT, width=126, align=2)
        c.text(value[1], 264, y + 14, fonts.BODY, theme.DIM, width=50)

    def _can(self, f):
        return [p for p in _PARAMS if f.personality.has(p)] + f.personality.extras()

    def _value_of(self, f):
        if self.what in _PARAMS:
            return self.app.stage.value(f, self.what)
        return self.app.stage.light(f)[1].get(self.what, 0)

    def _next(self, f, detents):
        now = self._value_of(f)
        if self.what == "cct":
            return max(1000, (round(now / 50) + detents) * 50)
        if self.what == "hue":
            return (round(now) + detents * _STEP["hue"]) % 360
        if self.what in _STEP:
            return now + detents * _STEP[self.what]
        return (int(now / 257 + 0.5) + detents) * 257
