"""Watts, amps and hours, of each lamp and of all, now and at full. A planning aid. Opened by Rig."""

from firmware.show import electrical_load
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.list_page import ListPage
from firmware.ui.frame.paragraph import paragraph
from firmware.ui.pages import undo_edits

_NOW, _FULL, _MAINS, _CIRCUIT, _BATTERY = "All lamps now", "All at full", "Mains", "Circuit", "Battery"
_SETTINGS = {_MAINS: ("volts", 100, 440, 5), _CIRCUIT: ("amps", 1, 125, 1), _BATTERY: ("wh", 0, 20000, 10)}
_CAUTION = "Planning aid: local code and a licensed electrician decide."


class Page(ListPage):
    """A push on a lamp lets the knob dial its watts at full, holding the knob how many lamps share its address."""

    title = "Power"
    parent = "rig"
    live = True

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.items = list(app.show.rig.fixtures) + [_NOW, _FULL, _CIRCUIT, _MAINS, _BATTERY]
        self.value = None  # of a lamp: what is being dialled; of a setting: what it was before
        self.counting = False  # True: the number of lamps is dialled, not their watts

    def _shares(self):
        """How much of its light each lamp gives, 0..1, in the order of the rig."""
        stage = self.app.stage
        out = []
        for f in self.app.show.rig.fixtures:
            share = stage.value(f, "level") * (1 if f.trims.get("free") else stage.master)
            out.append(0 if stage.blackout else 1 if stage.full else share)
        return out

    def _totals(self):
        """As electrical_load.totals: watts now, watts at full, how many lamps have no watts."""
        return electrical_load.totals(self.app.show.rig.fixtures, self._shares())

    def row(self, item):
        settings = self.app.settings
        if item in (_NOW, _FULL):
            watts = self._totals()[0 if item == _NOW else 1]
            return item, "%d W  %.1f A" % (watts, electrical_load.amps(watts, settings["volts"]))
        if item == _MAINS:
            return item, "%d V" % settings["volts"]
        if item == _CIRCUIT:
            return item, "%d A" % settings["amps"]
        if item == _BATTERY:
            left = electrical_load.hours(settings["wh"], self._totals()[0]) if settings["wh"] else 0
            words = "%d Wh" % settings["wh"]
            return item, words + (" >99 h" if left > 99 else "  %.1f h" % left) if left else words
        return self._lamp(item)

    def _lamp(self, f):
        dialled = self.dialling and f is self.item()
        many = self.value if dialled and self.counting else electrical_load.lamp_count(f)
        name = f.name if many == 1 else "%d x %s" % (many, f.name)
        if dialled:
            return name, "%d lamps" % many if self.counting else "%d W each" % self.value
        watts = electrical_load.full_watts(f)
        if watts is None:
            return name, "no watts yet"
        share = self._shares()[self.app.show.rig.fixtures.index(f)]
        return name, "%d of %d W" % (watts * share, watts)

    def choose(self, item):
        if item in (_NOW, _FULL):
            return
        self.counting = False
        self.value = self.app.settings[_SETTINGS[item][0]] if isinstance(item, str) else item.trims.get("watts", 0)
        self.start_dialling()

    def hold(self):
        if not self.dialling and not isinstance(self.item(), str):
            self.counting, self.value = True, electrical_load.lamp_count(self.item())
            self.start_dialling()

    def dial(self, item, detents):
        if isinstance(item, str):
            key, low, high, step = _SETTINGS[item]
            self.app.settings[key] = max(low, min(high, self.app.settings[key] + detents * step))
        elif self.counting:
            self.value = max(1, min(99, self.value + detents))
        else:
            step = 1 if self.value < 50 else 5 if self.value < 500 else 50
            self.value = max(0, min(20000, self.value + detents * step))

    def accept(self, item):
        app = self.app
        if isinstance(item, str):
            app.try_to(app.set_setting, _SETTINGS[item][0], app.settings[_SETTINGS[item][0]])
        elif self.counting:
            app.try_to(undo_edits.set_trim, app, item, "gang", self.value if self.value > 1 else None)
        else:
            app.try_to(undo_edits.set_trim, app, item, "watts", self.value or None)

    def cancel(self, item):
        if isinstance(item, str):
            self.app.settings[_SETTINGS[item][0]] = self.value

    def list_hint(self):
        if self.item() in (_NOW, _FULL):
            return ("turn", "choose"), ("back", "Rig")
        if isinstance(self.item(), str):
            return ("push", "change"), ("turn", "choose"), ("back", "Rig")
        return ("push", "its watts"), ("hold", "how many"), ("turn", "choose"), ("back", "Rig")

    def below_height(self, c):
        return (2 if c.big else 1) * c.line_height(fonts.SMALL) + 2

    def below(self, c, top, bottom):
        (now, full, unknown), settings = self._totals(), self.app.settings
        c.box(0, top, c.width, 1, theme.EDGE)
        words, ink = "", theme.TEXT
        if electrical_load.over(full, settings["volts"], settings["amps"]):
            when = "now" if electrical_load.over(now, settings["volts"], settings["amps"]) else "at full"
            words, ink = "Over 80 %% of %d A %s" % (settings["amps"], when), theme.WARN
            words += ": split it. " if c.big else ""
        elif unknown:
            words = "%d lamps without watts. " % unknown
        if c.big or not words:
            words += _CAUTION if c.big else "A planning aid only"
        yield from paragraph(c, words, top + 2, fonts.SMALL, ink, 2 if c.big else 1)
