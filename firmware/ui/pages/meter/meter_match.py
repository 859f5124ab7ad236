"""Match a lamp to another: its white and green are set so that both look the same, and what remains is said. Opened by
the pages of the meter.
"""

from math import log

from firmware.light import white
from firmware.light.match import match
from firmware.parts import once
from firmware.show.fixture_light import CCT, DUV
from firmware.show.meter_readings import DUV as READ_DUV
from firmware.show.meter_readings import KELVIN, Readings
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import undo_edits
from firmware.ui.pages.meter import meter_words

_TO, _WHITE, _GREEN, _LEFT, _STOPS, _KEEP = "Match to", "White", "± Green", "Remains", "Light", "Keep as its trim"
_POINTS = 9  # the most that a map of whites takes
_FULL = 65535


class Page(ListPage):
    """fixture: the lamp; other: the one whose white it takes over. Both have readings with a white. The lamp is set as
    the page opens."""

    parent = "meter"
    hints = (("push", "keep"), ("back", "Meter"))

    def __init__(self, app, fixture, other):
        ListPage.__init__(self, app)
        self.title = "Match " + fixture.name
        self.lamp = fixture
        self.readings = Readings(app.show)
        self.others = [f for f in app.show.rig.fixtures
                       if f is not fixture and self.readings.get(f) and self.readings.get(f)[KELVIN]]
        self.other = other
        self.setting = self.readings.asked(app.stage, fixture)
        self.items = (_TO, _LEFT, _STOPS, _WHITE, _GREEN)
        if not fixture.personality.emitters and fixture.personality.has("cct"):
            self.items += (_KEEP,)
        app.can_undo("White of " + fixture.name, once, "firmware.ui.pages.undo_light", "put_back", app.stage,
                     once("firmware.ui.pages.undo_light", "take", app.stage, [fixture]))
        self._set()

    def _measured(self, fixture):
        """(K, Duv) of a lamp's reading."""
        reading = self.readings.get(fixture)
        return reading[KELVIN], reading[READ_DUV] / 100000

    def _set(self):
        """Set the lamp, and find what remains."""
        low, high = _range(self.lamp, "cct", 2700, 6500)
        greens = _range(self.lamp, "duv", 0, 0)
        wanted, measured = self._measured(self.other), self._measured(self.lamp)
        cct, duv, self.miss = match(wanted, measured, self.setting, (low, high), greens)
        self.now = cct, duv
        asked = {}
        if self.lamp.personality.has("cct"):
            asked["cct"] = cct
        if self.lamp.personality.has("duv"):
            asked["duv"] = duv
        self.app.stage.dial(self.lamp, **asked)
        self.left = duv + measured[1] - self.setting[1] - wanted[1]

    def row(self, item):
        app, (cct, duv) = self.app, self.setting
        if item == _TO:
            return item, self.other.name
        if item == _WHITE:
            return item, "%d to %d K" % (cct, self.now[0] + 0.5)
        if item == _GREEN:
            return item, "%s to %s" % (meter_words.short_green(duv), meter_words.short_green(self.now[1]))
        if item == _LEFT:
            return item, "nothing" if self.miss < 0.0005 else "Duv %s" % meter_words.short_green(self.left)
        if item == _STOPS:
            mine, its = [self.readings.lux_now(app.stage, f) for f in (self.lamp, self.other)]
            if not mine or not its:
                return item, "one is out"
            stops = log(mine / its) / log(2)
            words = "%.1f stops %s" % (abs(stops), "over" if stops > 0 else "under")
            return item, "the same" if abs(stops) < 0.05 else words
        return item, "" if "white" not in self.lamp.trims else "has one"

    def dials(self, item):
        return item == _TO

    def choose(self, item):
        if item == _TO:
            self.was = self.other
            self.start_dialling()
        elif item == _KEEP:
            if self.app.try_to(self._keep, said="%s: trim made" % self.lamp.name):
                self.leave()
        else:
            self.leave()

    def dial(self, item, detents):
        at = self.others.index(self.other) + (1 if detents > 0 else -1)
        self.other = self.others[at % len(self.others)]
        self._set()

    def cancel(self, item):
        self.other = self.was
        self._set()

    def _keep(self):
        """Make a trim of the correction: with it the lamp, asked for what the other is asked for, looks the same in
        every white."""
        stage = self.app.stage
        light, asked = stage.light(self.other), self.readings.asked(stage, self.other)
        theirs, mine = self._measured(self.other), self._measured(self.lamp)
        off = (white.mired(mine[0]) - white.mired(self.setting[0])) - (white.mired(theirs[0]) - white.mired(asked[0]))
        off_duv = mine[1] - self.setting[1] - (theirs[1] - asked[1])
        undo_edits.set_trim(self.app, self.lamp, "white", shifted(self.lamp, off, off_duv))
        stage.dial(self.lamp, cct=light[CCT], duv=light[DUV] / 100000)

    def list_hint(self):
        if self.item() == _TO:
            return ("push+turn", "another"), ("turn", "choose"), ("push", "change"), ("back", "Meter")
        return ("push", "make it" if self.item() == _KEEP else "keep"), ("turn", "choose"), ("back", "Meter")


def shifted(fixture, mireds, duv):
    """The trim "white" of a lamp whose light is off by so many mireds and so much Duv from what its present trim, or
    the range of its kind, says."""
    points = fixture.trims.get("white")
    if not points:
        low, high = _range(fixture, "cct", 2700, 6500)
        warm, cool = white.mired(low), white.mired(high)
        points = []
        for n in range(_POINTS):  # even in mired, as the map between them is
            kelvin = white.kelvin(warm + (cool - warm) * n / (_POINTS - 1))
            points.append([int((kelvin - low) / (high - low) * _FULL + 0.5), int(kelvin + 0.5), 0])
    out = []
    for setting, kelvin, green in points:
        kelvin = int(white.kelvin(white.mired(kelvin) + mireds) + 0.5)
        out.append([setting, max(1000, min(20000, kelvin)), max(-5000, min(5000, green + int(round(duv * 100000))))])
    return out


def _range(fixture, does, low, high):
    """(lowest, highest) that a lamp can be set to; of one that mixes it, what can be asked."""
    for channel in fixture.personality.channels:
        if channel[0] == does:
            return min(channel[3], channel[4]), max(channel[3], channel[4])
    if fixture.personality.emitters:
        return (1000, 20000) if does == "cct" else (-0.05, 0.05)
    return low, high
