"""The light at the mark: each lamp alone, all together, T-stop and ratio; set a lamp by stop or by ratio."""

from math import log

from firmware.light import exposure
from firmware.show.meter_readings import Readings
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.page import Choice
from firmware.ui.pages.meter.meter_steps import mark, step

_RATIO, _ISO, _SHUTTER, _FPS, _UNIT = "Key : fill", "ISO", "Shutter", "Frames a second", "Light in"
_SPEEDS = (50, 64, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600, 2000, 2500, 3200, 4000, 5000,
           6400, 8000, 10000, 12800, 25600, 51200)
_FRAMES = (1200, 1500, 2397, 2400, 2500, 2997, 3000, 4800, 5000, 5994, 6000, 10000, 12000)


class Page(Choice):
    """A row a lamp: push, then the knob sets its T-stop in thirds, each lamp alone. Hold: its reading."""

    title = "Meter"
    live = True

    def __init__(self, app):
        Choice.__init__(self, app)
        self.readings = Readings(app.show)
        app.shelf.faults += self.readings.faults
        self.items = list(app.show.rig.fixtures) + [_RATIO, _ISO, _SHUTTER, _FPS, _UNIT]
        self.at = min(app.remembered.get("meter", 0), len(self.items) - 1)
        self.was = None  # of what is dialled, for the back key

    def close(self):
        if self.gripped and isinstance(self.item(), str) and self.item() != _RATIO:
            self.undial(self.item())
        self.app.remembered["meter"] = self.at

    # --- what it says ---

    def light(self, lux):
        """A light in words, in the unit set."""
        if self.readings.settings["fc"]:
            lux = exposure.footcandles(lux)
        unit = "fc" if self.readings.settings["fc"] else "lx"
        return "%.1f %s" % (lux, unit) if lux < 100 else "%d %s" % (int(lux + 0.5), unit)

    def stop(self, lux):
        """A light as a T-stop in words; what is under T1 is named as light."""
        stop = self.readings.stop(lux)
        return "T" + exposure.stop_name(stop) if stop >= 0.9 else "under T1"

    def row(self, item):
        readings, stage = self.readings, self.app.stage
        if item == _RATIO:
            found = readings.ratio(stage)
            return item, "%.1f : 1  %.1f st" % found if found else "-"
        if item == _ISO:
            return item, "%d" % readings.settings["iso"]
        if item == _SHUTTER:
            return item, "%g°, 1/%d s" % (readings.settings["angle10"] / 10, int(1 / readings.seconds() + 0.5))
        if item == _FPS:
            return item, "%g" % (readings.settings["fps100"] / 100)
        if item == _UNIT:
            return item, "footcandles" if readings.settings["fc"] else "lux"
        if readings.get(item) is None:
            return item.name, "not measured"
        lux = readings.lux_now(stage, item)
        said = self.stop(lux) + "  " + self.light(lux) if lux else "out"
        return item.name, ("old: " if readings.is_outdated(item) else "") + said

    def under(self, c):
        return c.line_height(fonts.SMALL) + 2

    def below(self, c, top, bottom):
        lux, unknown = self.readings.lux_at_mark(self.app.stage)
        said = "%s: %s  %s" % ("At the mark" if c.big else "All", self.stop(lux), self.light(lux))
        if not lux:
            said = "Nothing measured is lit"
        if unknown and c.big:
            said += ", %d not measured" % unknown
        c.box(0, top, c.width, 1, theme.EDGE)
        c.text(said, 2 * c.pad, top + 2, fonts.SMALL, theme.TEXT, width=c.width - 3 * c.pad)

    # --- gestures ---

    def choose(self, item):
        app, readings = self.app, self.readings
        if item == _UNIT:
            readings.settings["fc"] = 1 - readings.settings["fc"]
            app.try_to(readings.save)
            return
        if item == _RATIO:
            if not readings.ratio(app.stage):
                app.say("Measure key and fill, and have both lit. Hold on a lamp: say which it is")
                return
            self.was = app.stage.value(readings.lamp("fill"), "level")
        elif isinstance(item, str):
            self.was = dict(readings.settings)
        elif readings.get(item) is None:
            app.open("meter_lamp", item)
            return
        else:
            self.was = app.stage.value(item, "level")
        self.grip()

    def hold(self):
        if not isinstance(self.item(), str):
            self.app.open("meter_lamp", self.item())

    def dial(self, item, detents):
        values = self.readings.settings
        if item == _ISO:
            values["iso"] = step(_SPEEDS, values["iso"], detents)
        elif item == _FPS:
            values["fps100"] = step(_FRAMES, values["fps100"], detents)
        elif item == _SHUTTER:
            values["angle10"] = max(50, min(3600, values["angle10"] + detents * 10))
        elif item == _RATIO:
            self._set(self.readings.lamp("fill"), self._fill(detents))
        else:
            self._set(item, self._key(item, detents))

    def _set(self, fixture, level):
        if level is not None:
            self.app.stage.dial(fixture, level=level)

    def _key(self, f, detents):
        """Level for the next third of a stop on the scale of T-stops; None where it cannot be, and why is said."""
        lux = self.readings.lux_now(self.app.stage, f) or self.readings.lux_at_full(f) / 256
        thirds = mark(6 * log(self.readings.stop(lux)) / log(2), detents)
        try:
            # The master takes its part: the level must be so much higher.
            level = self.readings.level_for(f, 2.0 ** (thirds / 6)) / self._master(f)
        except ValueError as e:
            self.app.say(str(e))
            return None
        if level > 1.0001:
            self.app.say("%s: the master is in the way" % f.name)
            return None
        return level

    def _fill(self, detents):
        stage, readings = self.app.stage, self.readings
        found = readings.ratio(stage)
        if not found:
            return None
        halves = mark(found[1] * 2, detents)
        try:
            return readings.fill_for(stage, halves / 2) / self._master(readings.lamp("fill"))
        except ValueError as e:
            self.app.say(str(e))
            return None

    def _master(self, f):
        return 1 if f.trims.get("free") else max(1 / 256, self.app.stage.master)

    def dialled(self, item):
        if isinstance(item, str) and item != _RATIO:
            self.app.try_to(self.readings.save)

    def undial(self, item):
        if item == _RATIO:
            self.app.stage.dial(self.readings.lamp("fill"), level=self.was)
        elif isinstance(item, str):
            self.readings.settings.update(self.was)
        else:
            self.app.stage.dial(item, level=self.was)

    def hint(self):
        item = self.item()
        if self.gripped:
            return Choice.hint(self)
        if isinstance(item, str):
            return ("push", "change"), ("turn", "choose"), ("back", "pages")
        push = "measure" if self.readings.get(item) is None else "set its stop"
        return ("push", push), ("hold", "reading"), ("turn", "choose"), ("back", "pages")
