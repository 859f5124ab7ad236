"""The looks: see what one holds, go to one, store a new one; hold for what else can be done with it."""

from micropython import const

from firmware.light import colour
from firmware.parts import once
from firmware.show import resolve
from firmware.show.fixture_light import LEVEL
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.page import Choice

_NEW = "+ Store new look"
_REST_MS = const(250)  # the knob rests so long before a look is read from flash
_SWATCHES = const(8)


class Page(Choice):
    """Turn to a look, push to go there in its own time; push-and-turn sets another time first. Below the list are the
    lamps of the chosen look as it will be."""

    title = "Looks"
    memory = "look"

    def __init__(self, app):
        Choice.__init__(self, app)
        self.items = app.show.looks.names() + [_NEW]
        self.seconds = None  # the time dialled here; None: the look's own
        self._seen = None  # the look whose lamps are shown
        self._own = 0
        self._inks = bytearray(3 * _SWATCHES)
        self._levels = bytearray(_SWATCHES)
        self._count = 0
        self._rested = app.now

    # --- gestures ---

    def turn(self, detents):
        Choice.turn(self, detents)
        self._rested = self.app.now

    def push_turn(self, detents):
        if self.item() is _NEW:
            return
        now = self.seconds if self.seconds is not None else self._own / 1000 if self._seen else 2
        for _ in range(abs(detents)):
            step = 0.5 if now < 10 else 1 if now < 60 else 10
            now += step if detents > 0 else -step
        self.seconds = max(0, min(600, now))

    def choose(self, item):
        app = self.app
        if item is _NEW:
            app.open("look_store")
            return
        # Going away from light that is kept nowhere can be undone.
        taken = once("firmware.ui.pages.undo_light", "take", app.stage, app.show.rig.fixtures)
        if app.try_to(app.stage.go, item, self.seconds):
            app.can_undo("Light before " + item, once, "firmware.ui.pages.undo_light", "put_back", app.stage, taken)

    def hold(self):
        if self.item() is not _NEW:
            self.app.open("look", self.item())

    def hint(self):
        if self.item() is _NEW:
            return ("turn", "choose"), ("push", "store"), ("back", "pages")
        return ("turn", "choose"), ("push", "go"), ("push+turn", "time"), ("hold", "more"), ("back", "pages")

    # --- what a look holds ---

    def step(self, now):
        """While the knob rests and nothing fades, read the chosen look for its colours."""
        item = self.item()
        if item is self._seen or item is _NEW or now - self._rested < _REST_MS or self.app.stage.left():
            return
        self._seen, self._count = item, 0
        try:
            lights, self._own = self.app.show.looks.recall(item)
        except ValueError as e:
            self.app.say(e.args[0])
            return
        for f in self.app.show.rig.fixtures:
            if f.uid in lights and self._count < _SWATCHES:
                self._add(lights[f.uid])
        self.app.screen.touch()

    def _add(self, light):
        k = self._count
        level = light[LEVEL] / 65536
        self._inks[3 * k:3 * k + 3] = bytes(colour.srgb(*resolve.chromaticity(light), max(level, 0.02)))
        self._levels[k] = int(level * 100 + 0.5)
        self._count += 1

    # --- drawing ---

    def row(self, item):
        stage = self.app.stage
        if item is _NEW or item != stage.look:
            return item, ""
        left = stage.left()
        return item, "%d.%d s" % (left // 1000, left % 1000 // 100) if left else "on"

    def under(self, c):
        return c.row

    def below(self, c, y, bottom):
        item = self.item()
        if item is _NEW:
            return
        c.box(0, y, c.width, 1, theme.EDGE)
        own = item is self._seen
        if self.seconds is not None:
            words = "in %g s" % self.seconds
        else:
            words = "in %g s" % (self._own / 1000) if own else ""
        x = c.width - c.pad
        x -= c.text(words, x, y + 1, fonts.BODY, theme.TEXT if self.seconds is None else theme.HOT, align=fonts.RIGHT)
        yield
        if own:
            wide = min(24, (x - 2 * c.pad) // _SWATCHES)
            for k in range(self._count):
                c.tint(k, *self._inks[3 * k:3 * k + 3])
                c.swatch(c.pad + k * wide, y + 3, wide - 2, c.row - 4, k)
