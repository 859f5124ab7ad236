"""The reading of one lamp: what a meter shows at the mark in the light of this lamp alone; and whether the lamp is key
or fill. Opened by Meter.
"""

from firmware.light import exposure
from firmware.parts import once
from firmware.show.dates import day_text
from firmware.show.fixture_light import LEVEL
from firmware.show.meter_readings import COUNT, DATE, DUV, KELVIN, Readings
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages.meter.meter_steps import next_number

_ALONE, _LIGHT, _WHITE, _GREEN, _TAKEN = "All others out", "Light", "White", "± Green", "Taken"
_ROLE, _CURVE, _MAP, _FORGET = "It is", "Measure its dimming", "Measure its whites", "Forget the reading"
_ROLES = ("neither", "key", "fill")


class Page(ListPage):
    """fixture: the lamp. The other lamps can be put out, but only while this page is open."""

    parent = "meter"

    def __init__(self, app, fixture):
        ListPage.__init__(self, app)
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
        self.others = []  # (fixture, its level) of those that are out while the page is open
        self.was = None  # light, white and green before the knob dialled one of them

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
        """When the reading was taken, in words."""
        reading = self.readings.get(self.lamp)
        if not reading:
            return "never"
        words = "no. %d" % reading[COUNT] + (", " + day_text(reading[DATE]) if reading[DATE] else "")
        return words + (", old: lamp changed" if self.readings.is_outdated(self.lamp) else "")

    def _role(self):
        """What the lamp is, in a word."""
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
            if item == _LIGHT and not level_now(app.stage, self.lamp):
                app.say("%s is out: bring it up to measure it" % self.lamp.name)
                return
            self.was = self.lux, self.kelvin, self.duv
            self.start_dialling()

    def _alone(self):
        """Put the other lamps out, or bring them back."""
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
            self.lux = next_number((self.lux or 100) / unit, detents) * unit
        elif item == _WHITE:
            self.kelvin = max(1000, min(20000, (self.kelvin or 4300) + detents * 10))
        elif item == _GREEN:
            self.duv = max(-0.05, min(0.05, round((self.duv + detents * 0.0005) * 10000) / 10000))

    def accept(self, item):
        if not self.lux:
            return  # a white is saved only with a light
        app, f = self.app, self.lamp
        # The light was read through the master, so the level goes with it by the master's share.
        level = level_now(app.stage, f)
        if not f.trims.get("free"):
            level = int(level * app.stage.master + 0.5)
        app.try_to(self.readings.add, f, self.lux, level, self.kelvin, self.duv, app.settings["date"],
                   said="%s: %s" % (f.name, self.row(_LIGHT)[1]))

    def cancel(self, item):
        self.lux, self.kelvin, self.duv = self.was

    def close(self):
        self._bring_back()

    def list_hint(self):
        if self.item() == _TAKEN:
            return ("turn", "choose"), ("back", "Meter")
        return ("push", "open" if self.item() in (_CURVE, _MAP) else "change"), ("turn", "choose"), ("back", "Meter")



def level_now(stage, fixture):
    """The level that a lamp is dialled to, 0..65536."""
    return stage.light(fixture)[LEVEL]
