"""The Meter page: the light at the mark, of each lamp alone and of all together, as T-stop, light and ratio; a lamp can
be set by its stop or by the ratio.
"""

from math import log

from firmware.light import exposure
from firmware.show.meter_readings import Readings
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages.meter import meter_words
from firmware.ui.pages.meter.meter_steps import next_choice, next_mark

_BACKLIGHT = "Key : backlight"
_RATIO, _ISO, _SHUTTER, _FPS, _UNIT = "Key : fill", "ISO", "Shutter", "Frames a second", "Light in"
_HEAD = "Meter's head"
# The constant of ISO 2720 of a flat head, and of domes (common practice: makers' manuals give 320 to 340).
_CONSTANTS = (exposure.C_FLAT, 320, 330, exposure.C_DOME)
_ISOS = (50, 64, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600, 2000, 2500, 3200, 4000, 5000,
           6400, 8000, 10000, 12800, 25600, 51200)
_FPS100 = (1200, 1500, 2397, 2400, 2500, 2997, 3000, 4800, 5000, 5994, 6000, 10000, 12000)


_FIRST = 3  # stops under the key at which a fill that is out begins
_PARTS = {_RATIO: "fill", _BACKLIGHT: "backlight"}  # what each ratio is to the key


class Page(ListPage):
    """A row a lamp: after a push, or with the knob pushed, the knob sets its T-stop, as of this lamp alone: in tenths
    where levels are, else in thirds. Holding the knob opens the reading of the lamp."""

    title = "Meter"
    live = True

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.readings = Readings(app.show)
        app.shelf.faults += self.readings.faults
        self.items = list(app.show.rig.fixtures) + [_RATIO] + (
            [_BACKLIGHT] if self.readings.lamp("backlight") else []) + [_ISO, _SHUTTER, _FPS, _HEAD, _UNIT]
        self.at = min(app.remembered.get("meter", 0), len(self.items) - 1)
        self.was = None  # what the knob dials, as it was before: a level, or all settings of the meter

    def close(self):
        if self.dialling and isinstance(self.item(), str) and self.item() not in _PARTS:
            self.cancel(self.item())
        self.app.remembered["meter"] = self.at

    # --- words ---

    def row(self, item):
        readings, stage = self.readings, self.app.stage
        if item in _PARTS:
            found = readings.ratio(stage, _PARTS[item])
            return item, "%.1f : 1  %.1f st" % found if found else "-"
        if item == _ISO:
            return item, "%d" % readings.settings["iso"]
        if item == _SHUTTER:
            return item, "%g°, 1/%d s" % (readings.settings["angle10"] / 10, int(1 / readings.seconds() + 0.5))
        if item == _FPS:
            return item, "%g" % (readings.settings["fps100"] / 100)
        if item == _HEAD:
            c = readings.settings["c"]
            return item, "%s, %d" % ("flat" if c == exposure.C_FLAT else "dome", c)
        if item == _UNIT:
            return item, "footcandles" if readings.settings["fc"] else "lux"
        if readings.get(item) is None:
            return item.name, "no reading"
        lux = readings.lux_now(stage, item)
        words = "out"
        if lux:
            words = meter_words.stop(readings, lux, self._parts())
        words = "old: " * readings.is_outdated(item) + words
        more = words + "  " + meter_words.light(readings, lux) if lux else words
        c = self.app.canvas
        return item.name, more if c.big or c.measure(item.name + more, fonts.SMALL) <= c.width - 6 * c.pad else words

    def below_height(self, c):
        return c.line_height(fonts.SMALL) + 2

    def below(self, c, top, bottom):
        lux, unknown = self.readings.lux_at_mark(self.app.stage)
        words = "%s: %s  %s" % ("At the mark" if c.big else "All", meter_words.stop(self.readings, lux, self._parts()),
                                meter_words.light(self.readings, lux))
        if not lux:
            words = "Nothing measured is lit"
        if unknown and c.big:
            words += ", %d not read" % unknown
        c.box(0, top, c.width, 1, theme.EDGE)
        c.text(words, 2 * c.pad, top + 2, fonts.SMALL, theme.TEXT, width=c.width - 3 * c.pad)

    # --- gestures ---

    def choose(self, item):
        app, readings = self.app, self.readings
        if item == _UNIT:
            readings.settings["fc"] = 1 - readings.settings["fc"]
            app.try_to(readings.save)
            return
        if item in _PARTS:
            if not self._can_set(_PARTS[item]):
                app.say("Measure key and %s, and have the key lit. Hold on a lamp: say which it is" % _PARTS[item])
                return
            self.was = app.stage.value(readings.lamp(_PARTS[item]), "level")
        elif isinstance(item, str):
            self.was = dict(readings.settings)
        elif readings.get(item) is None:
            app.open("meter_read", item)
            return
        else:
            self.was = app.stage.value(item, "level")
        self.start_dialling()

    def hold(self):
        if not isinstance(self.item(), str):
            self.app.open("meter_lamp", self.item())

    def _can_set(self, part):
        """True where the ratio of the key to a part can be dialled: both are known, and the key is lit."""
        readings = self.readings
        key, fill = readings.lamp("key"), readings.lamp(part)
        return key and fill and key is not fill and readings.lux_now(self.app.stage, key) and readings.get(fill)

    def dials(self, item):
        return item != _UNIT if isinstance(item, str) else self.readings.get(item) is not None

    def dial(self, item, detents):
        values = self.readings.settings
        if item == _ISO:
            values["iso"] = next_choice(_ISOS, values["iso"], detents)
        elif item == _FPS:
            values["fps100"] = next_choice(_FPS100, values["fps100"], detents)
        elif item == _HEAD:
            values["c"] = next_choice(_CONSTANTS, values["c"], detents)
        elif item == _SHUTTER:
            values["angle10"] = max(50, min(3600, values["angle10"] + detents * 10))
        elif item in _PARTS:
            self._set(self.readings.lamp(_PARTS[item]), self._level_for_ratio(_PARTS[item], detents))
        else:
            self._set(item, self._level_for_stop(item, detents))

    def _set(self, fixture, level):
        if level is not None:
            self.app.stage.dial(fixture, level=level)

    def _level_for_stop(self, f, detents):
        """The level for the next mark on the scale of T-stops. None: there is none, and a message says why."""
        lux = self.readings.lux_now(self.app.stage, f) or self.readings.lux_at_full(f) / 256
        per_doubling = 2 * self._parts()
        mark = next_mark(per_doubling * log(self.readings.stop(lux)) / log(2), detents)
        try:
            # The level must make up for the master.
            level = self.readings.level_for(f, 2.0 ** (mark / per_doubling)) / self._master(f)
        except ValueError as e:
            self.app.say(str(e))
            return None
        if level > 1.0001:
            self.app.say("%s: the master is in the way" % f.name)
            return None
        return level

    def _level_for_ratio(self, part, detents):
        """The level of the fill, or the backlight, for the next mark of the ratio, in stops; None as of
        _level_for_stop."""
        stage, readings = self.app.stage, self.readings
        found = readings.ratio(stage, part)
        mark = next_mark((found[1] if found else _FIRST) * self._parts(), detents)
        try:
            return readings.fill_for(stage, mark / self._parts(), part) / self._master(readings.lamp(part))
        except ValueError as e:
            self.app.say(str(e))
            return None

    def _parts(self):
        """Into how many parts a stop is divided: as levels on the page Light, tenths or thirds."""
        return 10 if self.app.settings["level"] == 0 else 3

    def _master(self, f):
        """The share of a lamp's light that the master lets through."""
        return 1 if f.trims.get("free") else max(1 / 256, self.app.stage.master)

    def accept(self, item):
        if isinstance(item, str) and item not in _PARTS:
            self.app.try_to(self.readings.save)

    def cancel(self, item):
        if item in _PARTS:
            self.app.stage.dial(self.readings.lamp(_PARTS[item]), level=self.was)
        elif isinstance(item, str):
            self.readings.settings.update(self.was)
        else:
            self.app.stage.dial(item, level=self.was)

    def list_hint(self):
        item = self.item()
        if item == _UNIT:
            return ("push", "change"), ("turn", "choose"), ("back", "pages")
        if isinstance(item, str):
            return ("push", "change"), ("push+turn", "set"), ("turn", "choose"), ("back", "pages")
        if self.readings.get(item) is None:
            return ("push", "measure"), ("hold", "more"), ("turn", "choose"), ("back", "pages")
        return ("push+turn", "its T-stop"), ("hold", "reading, match"), ("turn", "choose"), ("back", "pages")
