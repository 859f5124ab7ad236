"""The reading of one lamp: what a meter shows at the mark in the light of this lamp alone; whether the lamp is key,
fill or backlight; what can be made of that. Opened by Meter.
"""

from firmware.parts import once
from firmware.show.dates import day_text
from firmware.show.meter_readings import COUNT, DATE, DUV, KELVIN, ROLES, Readings
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages.meter import meter_words

_LIGHT, _WHITE, _GREEN, _TAKEN, _MATCH = "Light", "White", "± Green", "Taken", "Match"
_IS = ("Key light", "Fill light", "Backlight")  # in the order of ROLES
_EYE, _CURVE, _MAP, _FORGET = "Match by eye", "Measure its dimming", "Measure its whites", "Forget the reading"


class Page(ListPage):
    """fixture: the lamp."""

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
        self.match = self.readings.matched(fixture) if self.kelvin else None
        self.items = [_LIGHT, _WHITE, _GREEN] + ([_MATCH] if self.match else []) + list(_IS) + [_TAKEN, _CURVE]
        if fixture.personality.has("cct"):
            self.items.append(_EYE)
            if not fixture.personality.emitters:
                self.items.append(_MAP)
        if reading:
            self.items.append(_FORGET)

    def row(self, item):
        if item == _LIGHT:
            if not self.readings.get(self.lamp):
                return item, "not measured"
            return item, meter_words.light(self.readings, self.lux) if self.lux else "out"
        if item == _WHITE:
            return item, "%d K" % self.kelvin if self.kelvin else "not measured"
        if item == _GREEN:
            return item, meter_words.green(self.duv) if self.kelvin else "-"
        if item == _MATCH:
            return item, "to " + self.match.name
        if item in _IS:
            return item, "yes" if self.readings.lamp(ROLES[_IS.index(item)]) is self.lamp else "no"
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

    def choose(self, item):
        app = self.app
        if item in (_LIGHT, _WHITE, _GREEN):
            app.open("meter_read", self.lamp)
        elif item == _MATCH:
            app.open("meter_match", self.lamp, self.match)
        elif item in _IS:
            app.try_to(self.readings.give, self.lamp, ROLES[_IS.index(item)])
        elif item == _EYE:
            app.open("meter_eye", self.lamp)
        elif item in (_CURVE, _MAP):
            app.open("meter_trim", self.lamp, item == _MAP)
        elif item == _FORGET:
            gone = self.readings.remove(self.lamp)
            app.can_undo("Reading of %s" % self.lamp.name, once, "firmware.show.meter_readings", "put_back",
                         app.show, self.lamp, gone)
            app.open("meter")

    def list_hint(self):
        item = self.item()
        if item == _TAKEN:
            return ("turn", "choose"), ("back", "Meter")
        push = "measure" if item in (_LIGHT, _WHITE, _GREEN) else "change" if item in _IS else "open"
        if item in (_FORGET, _MATCH):
            push = "forget" if item == _FORGET else "match"
        return ("push", push), ("turn", "choose"), ("back", "Meter")
