"""Enter what the meter shows of one lamp alone: light, white, plus or minus green. Opened by Meter and by the page of a
lamp's reading.

The figures go in from the last value that is known, each with one turn: the light in thirds of a stop and then in its
third figure, the white in steps of 10 K, the green in steps of 0.0001. A push goes on to the next; so does a turn with
the knob pushed, which dials it in the same gesture.
"""

from math import log

from firmware.light import exposure
from firmware.show.fixture_light import CCT, DUV, LEVEL
from firmware.show.meter_readings import DUV as READ_DUV
from firmware.show.meter_readings import KELVIN, Readings
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import page, theme
from firmware.ui.frame.page_draw import draw_row, view
from firmware.ui.pages.meter import meter_alone, meter_words
from firmware.ui.pages.meter.meter_steps import next_mark

_THIRDS, _LIGHT, _WHITE, _GREEN = range(4)
_MOST_LUX = 500000


class Page(page.Page):
    """fixture: the lamp, which is alone while the page is open, at full if it was out. `place`: what the knob dials.
    After a first reading comes the next lamp without one."""

    parent = "meter"

    def __init__(self, app, fixture):
        page.Page.__init__(self, app)
        self.lamp = fixture
        self.title = "Alone: " + fixture.name
        self.readings = readings = Readings(app.show)
        self.unit = exposure.lux(1) if readings.settings["fc"] else 1  # lux in one unit of what is shown
        self.taken = meter_alone.begin(app.stage, fixture)
        app.say(meter_alone.in_the_way(app.stage))
        last = readings.get(fixture)
        self.new = not last
        self.lux = readings.lux_now(app.stage, fixture) if last else readings.last_lux(fixture)
        self.place = _LIGHT if self.lux else _THIRDS
        self.lux = self.lux or exposure.illuminance(4, readings.settings["iso"], readings.seconds())
        asked = app.stage.light(fixture)
        self.white = bool(last and last[KELVIN])  # True: it was measured
        self.kelvin = last[KELVIN] if self.white else asked[CCT]
        self.duv = last[READ_DUV] if self.white else asked[DUV]  # 1/100000
        self.pushed = False  # True: the knob is down and has gone on to this place with a turn
        self.match = readings.matched(fixture)  # the lamp whose white this one may take over

    def close(self):
        meter_alone.end(self.app.stage, self.taken)

    # --- gestures ---

    def turn(self, detents):
        self._dial(detents if self.place == _THIRDS else detents * self.app.gestures.pace)

    def push_turn(self, detents):
        if not self.pushed:
            self.pushed = True
            self._go_on()
        self.turn(detents)

    def step(self, now):
        if not self.app.gestures.down & 1:
            self.pushed = False

    def push(self):
        if self.place == _GREEN:
            self._keep(False)
        else:
            self._go_on()

    def hold(self):
        self._keep(self.place == _GREEN and self.match is not None)

    def _go_on(self):
        self.place = min(self.place + 1, _GREEN)
        self.white = self.white or self.place >= _WHITE

    def _dial(self, detents):
        if self.place == _THIRDS:
            thirds = next_mark(6 * log(self.readings.stop(self.lux)) / log(2), detents)
            lux = exposure.illuminance(2.0 ** (thirds / 6), self.readings.settings["iso"], self.readings.seconds())
            self.lux = max(0.1, min(_MOST_LUX, lux))
        elif self.place == _LIGHT:
            step = self._step() * self.unit
            self.lux = max(step, min(_MOST_LUX, next_mark(self.lux / step, detents) * step))
        elif self.place == _WHITE:
            self.kelvin = max(1000, min(20000, next_mark(self.kelvin / 10, detents) * 10))
        else:
            self.duv = max(-5000, min(5000, next_mark(self.duv / 10, detents) * 10))

    def _step(self):
        """The worth of the third figure of the light, in the unit that is shown."""
        step = 0.01
        while step * 1000 <= self.lux / self.unit * 1.00001:
            step *= 10
        return step

    def _keep(self, match):
        """Save the reading, and go on."""
        app, f = self.app, self.lamp
        level = app.stage.light(f)[LEVEL]
        if not f.trims.get("free"):  # the light was read through the master
            level = int(level * app.stage.master + 0.5)
        kelvin, duv = (self.kelvin, self.duv / 100000) if self.white else (0, 0)
        if not app.try_to(self.readings.add, f, self.lux, level, kelvin, duv, app.settings["date"],
                          app.stage.light(f), said="%s: %s" % (f.name, meter_words.light(self.readings, self.lux))):
            return
        then = self.new and self._next()
        if match:
            app.open("meter_match", f, self.match)
        elif then:
            app.open("meter_read", then)
        else:
            app.remembered["meter"] = app.show.rig.fixtures.index(f)
            app.open("meter")

    def _next(self):
        """The next lamp in the list that has no reading, or None."""
        fixtures = self.app.show.rig.fixtures
        for f in fixtures[fixtures.index(self.lamp) + 1:]:
            if self.readings.get(f) is None:
                return f
        return None

    def hint(self):
        turn = ("1/3 stop", "%g %s" % (self._step(), "fc" if self.unit > 1 else "lx"), "10 K", "0.0001")[self.place]
        if self.place < _GREEN:
            return ("turn", turn), ("push+turn", "next figure"), ("hold", "keep"), ("back", "as it was")
        then = self.new and self._next()
        hold = "keep, and match" if self.match else "keep"  # a name may be too long for a hint
        return ("turn", turn), ("push", "next lamp" if then else "keep"), ("hold", hold), ("back", "as it was")

    # --- drawing ---

    def body(self, c, top, bottom):
        readings = self.readings
        small = c.line_height(fonts.SMALL)
        if bottom - top >= 4 * c.row + 2 * small:
            yield
            c.text("The other lamps are out until you leave.", c.pad * 2, top, fonts.SMALL, theme.DIM)
            top += small + 2
        white = self.white or self.place >= _WHITE
        rows = (("T-stop", meter_words.stop(readings, self.lux)), ("Light", meter_words.light(readings, self.lux)),
                ("White", "%d K" % self.kelvin if white else "not measured"),
                ("± Green", meter_words.green(self.duv / 100000) if white else "-"))
        fit, first = view(c, bottom - top, self.place, len(rows))
        for n in range(first, min(first + fit, len(rows))):
            left, right = rows[n]
            yield from draw_row(c, top + (n - first) * c.row, left, right, n == self.place, True)
            yield
