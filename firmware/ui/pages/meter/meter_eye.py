"""Match a lamp by eye: turn until it looks like its neighbour, and keep that as the lamp's trim. Opened by the page of
a lamp's reading.
"""

from firmware.light import white
from firmware.parts import once
from firmware.show.fixture_light import CCT, DUV
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import undo_edits
from firmware.ui.pages.meter import meter_words

_WHITE, _GREEN, _KEEP, _SET = "White", "± Green", "Keep as its trim", "Keep in this light"
_MOST_MIRED = 150


class Page(ListPage):
    """fixture: the lamp. A trim holds for every white and every look; a lamp that mixes its white takes none, and is
    set in the light that is on. With the back key the lamp is as it was."""

    parent = "meter"

    def __init__(self, app, fixture):
        ListPage.__init__(self, app)
        self.lamp = fixture
        self.title = fixture.name + " by eye"
        light = app.stage.light(fixture)
        self.light = light[CCT], light[DUV] / 100000
        self.mireds = 0  # + warmer
        self.duv = 0.0
        self.was = 0, 0.0
        self.kept = False
        self.mixes = bool(fixture.personality.emitters)
        self.items = [_WHITE] + ([_GREEN] if fixture.personality.has("duv") else []) + [_SET if self.mixes else _KEEP]

    def row(self, item):
        if item == _WHITE:
            sign = "+" if self.mireds > 0 else "−" if self.mireds < 0 else ""
            return item, "%s%d mired" % (sign, abs(self.mireds))
        return item, meter_words.green(self.duv) if item == _GREEN else ""

    def dials(self, item):
        return item in (_WHITE, _GREEN)

    def choose(self, item):
        if self.dials(item):
            self.was = self.mireds, self.duv
            self.start_dialling()
        elif item == _SET:
            self._can_undo()
            self.kept = True
            self.leave()
        elif self.app.try_to(self._keep, said="%s: trim made" % self.lamp.name):
            self.leave()

    def dial(self, item, detents):
        if item == _WHITE:
            self.mireds = max(-_MOST_MIRED, min(_MOST_MIRED, self.mireds + 2 * detents))
        else:
            self.duv = max(-0.03, min(0.03, self.duv + 0.0005 * detents))
        self._show()

    def cancel(self, item):
        self.mireds, self.duv = self.was
        self._show()

    def _show(self, mireds=None, duv=None):
        """Set the lamp as it is dialled here, or as it was before."""
        asked = {"cct": white.kelvin(max(50, white.mired(self.light[0]) + (self.mireds if mireds is None else mireds)))}
        if self.lamp.personality.has("duv"):
            asked["duv"] = self.light[1] + (self.duv if duv is None else duv)
        self.app.stage.dial(self.lamp, **asked)

    def _can_undo(self):
        app = self.app
        self._show(0, 0)
        app.can_undo("White of " + self.lamp.name, once, "firmware.ui.pages.undo_light", "put_back", app.stage,
                     once("firmware.ui.pages.undo_light", "take", app.stage, [self.lamp]))
        self._show()

    def _keep(self):
        trim = once("firmware.ui.pages.meter.meter_match", "shifted", self.lamp, -self.mireds, -self.duv)
        undo_edits.set_trim(self.app, self.lamp, "white", trim)

    def close(self):
        """The trim, or nothing, takes over: the lamp is asked for what it was."""
        ListPage.close(self)
        if not self.kept:
            self._show(0, 0)

    def list_hint(self):
        if self.dials(self.item()):
            return ("push+turn", "until alike"), ("turn", "choose"), ("back", "as it was")
        return ("push", "keep"), ("turn", "choose"), ("back", "as it was")
