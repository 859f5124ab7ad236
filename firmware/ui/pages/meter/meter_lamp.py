"""One lamp's reading: enter what the meter says of it alone at the mark; which lamp is key and which fill."""

from firmware.light import exposure
from firmware.parts import once
from firmware.show.dates import day_text
from firmware.show.meter_readings import COUNT, DATE, DUV, KELVIN, Readings
from firmware.show.personality import LEVEL
from firmware.ui.frame.page import Choice
from firmware.ui.pages.meter.meter_steps import number

_ALONE, _LIGHT, _WHITE, _GREEN, _TAKEN = "All others out", "Light", "White", "± Green", "Taken"
_ROLE, _CURVE, _MAP, _FORGET = "It is", "Measure its dimming", "Measure its whites", "Forget the reading"
_ROLES = ("neither", "key", "fill")


class Page(Choice):
    """Opened from Meter with the lamp. The others are out only while this page is open."""


    def __init__(self, app, fixture):
        Choice.__init__(self, app)
        self.title = fixture.name
        self.lamp = fixture
        self.readings = Readings(app.show)
        reading = self.readings.get(fixture)
        self.lux = self.readings.lux_now(app.stage, fixture) if reading else 0
        self.kelvin = reading[KELVIN] if reading else 0
        self.duv = reading[DUV] / 100000 if reading else 0
        self.items = [_LIGHT, _ALONE, _WHITE, _GREEN, _ROLE, _TAKEN, _CURVE]
        if fixture.personality.has("cct") and not fixture.personality.emitters:
            self.items.append(_MAP)
        if reading:
            self.items.append(_FORGET)
        self.others = []  # (fixture, its level) of those that are out for now
        self.was = None

    def row(self, item):
        if item == _LIGHT:
            if not self.lux:
                return item, "not measured"
            if self.readings.settings["fc"]:
                return item, "%.4g fc" % exposure.footcandles(self.lux)
            return item, "%.4g lx" % self.lux
        if item == _ALONE:
            return item, "yes" if self.others else "no"
        if item == _WHITE:
            return item, "%d K" % self.kelvin if self.kelvin else "not measured"
        if item == _GREEN:
            return item, "Duv %+.4f" % self.duv if self.kelvin else "-"
        if item == _ROLE:
            return item, self._role()
        if item == _TAKEN:
            return item, self._taken()
        return item, ""

    def _taken(self):
        reading = self.readings.get(self.lamp)
        if not reading:
            return "never"
        said = "no. %d" % reading[COUNT] + (", " + day_text(reading[DATE]) if reading[DATE] else "")
        return said + (", old: lamp changed" if self.readings.is_outdated(self.lamp) else "")

    def _role(self):
        for role in _ROLES[1:]:
            if self.readings.lamp(role) is self.lamp:
                return role
        return _ROLES[0]

    def choose(self, item):
        app = self.app
        if item == _ALONE:
            self._alone()
        elif item == _ROLE:
            role = _ROLES[(_ROLES.index(self._role()) + 1) % 3]
            for name in _ROLES[1:]:
                if self.readings.settings[name] == self.lamp.uid:
                    self.readings.settings[name] = 0
            if role != _ROLES[0]:
                self.readings.settings[role] = self.lamp.uid
            app.try_to(self.readings.save)
        elif item in (_CURVE, _MAP):
            app.open("meter_trim", self.lamp, item == _MAP)
        elif item == _FORGET:
            gone = self.readings.remove(self.lamp)
            app.can_undo("Reading of %s" % self.lamp.name, once, "firmware.show.meter_readings", "put_back",
                         app.show, self.lamp, gone)
            app.open("meter")
        elif item == _GREEN and not self.kelvin:
            app.say("Enter the white first")
        elif item != _TAKEN:
            if item == _LIGHT and not lit(app.stage, self.lamp):
                app.say("%s is out: bring it up to measure it" % self.lamp.name)
                return
            self.was = self.lux, self.kelvin, self.duv
            self.grip()

    def _alone(self):
        stage = self.app.stage
        if self.others:
            self._bring_back()
            return
        for f in stage.show.rig.fixtures:
            if f is not self.lamp and stage.value(f, "level"):
                self.others.append((f, stage.value(f, "level")))
                stage.dial(f, level=0)

    def _bring_back(self):
        for f, level in self.others:
            if f in self.app.show.rig.fixtures:
                self.app.stage.dial(f, level=level)
        self.others = []

    def dial(self, item, detents):
        if item == _LIGHT:
            fc = self.readings.settings["fc"]
            unit = exposure.lux(1) if fc else 1
            self.lux = number((self.lux or 100) / unit, detents) * unit
        elif item == _WHITE:
            self.kelvin = max(1000, min(20000, (self.kelvin or 4300) + detents * 10))
        elif item == _GREEN:
            self.duv = max(-0.05, min(0.05, round((self.duv + detents * 0.0005) * 10000) / 10000))

    def dialled(self, item):
        if not self.lux:
            return  # the white waits for the light
        app, f = self.app, self.lamp
        # As the lamp is on now, without the master: the master is not the lamp's.
        level = lit(app.stage, f)
        if not f.trims.get("free"):
            level = int(level * app.stage.master + 0.5)
        app.try_to(self.readings.add, f, self.lux, level, self.kelvin, self.duv, app.settings["date"],
                   said="%s: %s" % (f.name, self.row(_LIGHT)[1]))

    def undial(self, item):
        self.lux, self.kelvin, self.duv = self.was

    def close(self):
        self._bring_back()

    def hint(self):
        if self.gripped:
            return Choice.hint(self)
        if self.item() == _TAKEN:
            return ("turn", "choose"), ("back", "Meter")
        return ("push", "open" if self.item() in (_CURVE, _MAP) else "change"), ("turn", "choose"), ("back", "Meter")

    def leave(self):
        self.app.open("meter")


def lit(stage, fixture):
    """The level asked of a lamp now, 0..65536."""
    return stage.light(fixture)[0][LEVEL]
