"""Measure the dimming or the whites of a lamp, point by point, and make a trim of that (light/trims.py). Opened by the
page of the lamp's reading.
"""

from firmware.light import exposure, trims
from firmware.show import rig_edit
from firmware.show.meter_readings import Readings
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import undo_edits
from firmware.ui.pages.meter import meter_alone, meter_words
from firmware.ui.pages.meter.meter_steps import next_number

_LEVELS = (100, 70, 40, 18, 5)  # per cent of the drive
_SETTINGS = (0, 25, 50, 75, 100)  # per cent of the range of its colour temperature slot
_MAKE, _AWAY = "Make trim", "Remove trim"
_FULL = 65535


class Page(ListPage):
    """white: True measures kelvin at settings of the slot of colour temperature, False light at levels. While the page
    is open the lamp is without its trim, and the other lamps are out: the user holds the meter still and keeps daylight
    away."""

    parent = "meter"
    dial_hints = ("turn", "as the meter says"), ("push", "keep"), ("back", "as it was")

    def __init__(self, app, fixture, white):
        ListPage.__init__(self, app)
        self.lamp = fixture
        self.white = white
        self.name = "white" if white else "curve"
        self.title = ("Whites: " if white else "Dimming: ") + fixture.name
        self.items = list(_SETTINGS if white else _LEVELS) + [_MAKE, _AWAY]
        self.values = {}  # per cent: lux or kelvin
        self.old = fixture.trims.get(self.name)
        self.taken = meter_alone.begin(app.stage, fixture)
        app.say(meter_alone.in_the_way(app.stage))
        self.readings = Readings(app.show)  # for the unit of light
        if self.old is not None:
            rig_edit.trim(app.show.rig, fixture, **{self.name: None})
        self.was = None  # the value of the point before the knob dialled it
        self.made = False  # True: the trim was made, or taken away

    def row(self, item):
        if item == _MAKE:
            return item, "%d reading%s" % (len(self.values), "" if len(self.values) == 1 else "s")
        if item == _AWAY:
            return item, "" if self.old is not None else "none"
        value = self.values.get(item)
        left = ("Slot at %d %%" if self.white else "At %d %%") % item
        if value is None:
            return left, "no reading"
        return left, "%d K" % value if self.white else meter_words.light(self.readings, value)

    def choose(self, item):
        if item == _MAKE:
            self.app.try_to(self._make, said="%s: trim made" % self.lamp.name)
        elif item == _AWAY:
            self._set_trim(None)
            self.app.say("%s: no trim" % self.lamp.name)
            self.leave()
        else:
            self._drive_to(item)
            self.was = self.values.get(item)
            if self.was is None:
                self.values[item] = self._guess(item)
            self.start_dialling()

    def _drive_to(self, item):
        """Drive the lamp to the point."""
        if not self.white:
            self.app.stage.dial(self.lamp, level=item / 100)
            return
        low, high = self._span()
        self.app.stage.dial(self.lamp, level=1, cct=low + (high - low) * item / 100, duv=0)

    def _span(self):
        """(lowest, highest) kelvin of the lamp."""
        for channel in self.lamp.personality.channels:
            if channel[0] == "cct":
                return channel[3], channel[4]
        return 2700, 6500

    def _guess(self, item):
        """A first value for a point, from what is measured so far."""
        if self.white:
            low, high = self._span()
            return int(low + (high - low) * item / 100)
        known = [(abs(level - item), level) for level in self.values]
        return self.values[min(known)[1]] * item / min(known)[1] if known else 1000 * item / 100

    def dials(self, item):
        return item not in (_MAKE, _AWAY)

    def dial(self, item, detents):
        if self.white:
            self.values[item] = max(1000, min(20000, self.values[item] + detents * 10))
        else:
            unit = exposure.lux(1) if self.readings.settings["fc"] else 1
            self.values[item] = next_number(self.values[item] / unit, detents) * unit

    def cancel(self, item):
        if self.was is None:
            del self.values[item]
        else:
            self.values[item] = self.was

    def _make(self):
        if self.white:
            readings = [(at / 100, kelvin, 0.0) for at, kelvin in self.values.items()]
            trims.white_map(readings)  # refuses what cannot be, and says why
            value = [[int(at * _FULL + 0.5), kelvin, 0] for at, kelvin, _duv in sorted(readings)]
        else:
            points = trims.dimming([(at / 100, lux) for at, lux in self.values.items()])
            value = [[int(drive * _FULL + 0.5), int(light * _FULL + 0.5)] for drive, light in points]
        self._set_trim(value)
        self.leave()

    def _set_trim(self, value):
        """Set the trim, so that undo brings the old one back."""
        self.made = True
        if self.old is not None:
            self.lamp.trims = dict(self.lamp.trims, **{self.name: self.old})
        undo_edits.set_trim(self.app, self.lamp, self.name, value)

    def close(self):
        app = self.app
        if not self.made and self.old is not None:
            rig_edit.trim(app.show.rig, self.lamp, **{self.name: self.old})
        meter_alone.end(app.stage, self.taken)

    def list_hint(self):
        push = {_MAKE: "make", _AWAY: "remove"}.get(self.item(), "measure")
        return ("push", push), ("turn", "choose"), ("back", "Meter")
