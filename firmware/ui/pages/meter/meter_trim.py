"""Measure one lamp's dimming or its whites, point by point, and make a trim of them (light/trims.py)."""

from firmware.light import trims
from firmware.show import rig_edit
from firmware.ui.frame.page import Choice
from firmware.ui.pages import undo_edits
from firmware.ui.pages.meter.meter_steps import number

_LEVELS = (100, 70, 40, 18, 5)  # per cent of the drive
_SETTINGS = (0, 25, 50, 75, 100)  # per cent of the way of its colour temperature slot
_MAKE, _AWAY = "Make the trim", "Take the trim away"
_FULL = 65535


class Page(Choice):
    """Opened from the lamp's reading. White: measure kelvin at settings, else light at levels. The lamp is without its
    trim and the others are as they are: black them out, hold the meter still, keep daylight away."""


    def __init__(self, app, fixture, white):
        Choice.__init__(self, app)
        self.lamp = fixture
        self.white = white
        self.name = "white" if white else "curve"
        self.title = fixture.name + (": whites" if white else ": dimming")
        self.items = list(_SETTINGS if white else _LEVELS) + [_MAKE, _AWAY]
        self.values = {}  # per cent: lux or kelvin
        self.old = fixture.trims.get(self.name)
        self.light = app.stage.light(fixture)
        if self.old is not None:
            rig_edit.trim(app.show.rig, fixture, **{self.name: None})
        self.was = None
        self.made = False

    def row(self, item):
        if item == _MAKE:
            return item, "of %d reading%s" % (len(self.values), "" if len(self.values) == 1 else "s")
        if item == _AWAY:
            return item, "" if self.old is not None else "there is none"
        value = self.values.get(item)
        left = "%d %% of its way" % item if self.white else "At %d %%" % item
        return left, "not measured" if value is None else "%d K" % value if self.white else "%.4g lx" % value

    def choose(self, item):
        if item == _MAKE:
            self.app.try_to(self._make, said="%s: trim made" % self.lamp.name)
        elif item == _AWAY:
            self._keep(None)
            self.app.say("%s: no trim" % self.lamp.name)
            self.leave()
        else:
            self._show(item)
            self.was = self.values.get(item)
            if self.was is None:
                self.values[item] = self._guess(item)
            self.grip()

    def _show(self, item):
        """Drive the lamp to the point."""
        if not self.white:
            self.app.stage.dial(self.lamp, level=item / 100)
            return
        low, high = self._span()
        self.app.stage.dial(self.lamp, level=1, cct=low + (high - low) * item / 100, duv=0)

    def _span(self):
        for channel in self.lamp.personality.channels:
            if channel[0] == "cct":
                return channel[3], channel[4]
        return 2700, 6500

    def _guess(self, item):
        if self.white:
            low, high = self._span()
            return int(low + (high - low) * item / 100)
        known = [(abs(level - item), level) for level in self.values]
        return self.values[min(known)[1]] * item / min(known)[1] if known else 1000 * item / 100

    def dial(self, item, detents):
        if self.white:
            self.values[item] = max(1000, min(20000, self.values[item] + detents * 10))
        else:
            self.values[item] = number(self.values[item], detents)

    def undial(self, item):
        if self.was is None:
            del self.values[item]
        else:
            self.values[item] = self.was

    def _make(self):
        if self.white:
            readings = [(at / 100, kelvin, 0.0) for at, kelvin in self.values.items()]
            trims.white_map(readings)  # what cannot be is refused here, by name
            value = [[int(at * _FULL + 0.5), kelvin, 0] for at, kelvin, _duv in sorted(readings)]
        else:
            points = trims.dimming([(at / 100, lux) for at, lux in self.values.items()])
            value = [[int(drive * _FULL + 0.5), int(light * _FULL + 0.5)] for drive, light in points]
        self._keep(value)
        self.leave()

    def _keep(self, value):
        """Set the trim, with the old one to come back by undo."""
        self.made = True
        if self.old is not None:
            self.lamp.trims = dict(self.lamp.trims, **{self.name: self.old})
        undo_edits.set_trim(self.app, self.lamp, self.name, value)

    def close(self):
        app, light = self.app, self.light
        if not self.made and self.old is not None:
            rig_edit.trim(app.show.rig, self.lamp, **{self.name: self.old})
        app.stage.dial(self.lamp, level=light[0] / 65536, cct=light[1], duv=light[2] / 100000)

    def hint(self):
        if self.gripped:
            return ("turn", "as the meter says"), ("push", "keep"), ("back", "as it was")
        return ("push", "do it" if self.item() in (_MAKE, _AWAY) else "measure"), ("turn", "choose"), ("back", "Meter")

    def leave(self):
        self.app.open("meter")
