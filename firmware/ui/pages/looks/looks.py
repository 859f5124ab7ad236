"""The Looks page: see what a look holds, go to it, or store a new one. Holding the knob opens the page of one look."""

from micropython import const

from firmware.light import colour
from firmware.parts import once
from firmware.show import resolve
from firmware.show.fixture_light import LEVEL
from firmware.show.look_record import SOFT
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.list_page import ListPage
from firmware.ui.pages import times, undo_edits

_NEW, _KEEP = "+ Store new look", "Store the change"
_REST_MS = const(250)  # how long the knob has to rest before a look is read from flash
_SWATCHES = const(8)


class Page(ListPage):
    """Turn to a look, and push to go to it in the time that is stored with it; push and turn sets another time first.
    Below the list are the lamps of the chosen look as they will be. Where the light was changed since it came from its
    look, the cursor is on that look, a push on which drops the change; the row below it keeps the change."""

    title = "Looks"
    remember = "look"

    def __init__(self, app):
        ListPage.__init__(self, app)
        self._fill()
        self.seconds = None  # the time dialled here, for the chosen look; None: the one stored with it
        self._seen = None  # the look whose lamps are shown,
        self._fade_ms = 0  # and the time stored with it
        self._inks = bytearray(3 * _SWATCHES)
        self._levels = bytearray(_SWATCHES)
        self._count = 0
        self.since = app.now

    def _fill(self):
        stage = self.app.stage
        if stage.edited:
            once("firmware.ui.pages.looks.look_changed", "check", stage)
        self.items = self.app.show.looks.names() + [_NEW]
        self._changed = stage.look if stage.edited else ""
        if self._changed:
            self.at = self.items.index(stage.look)
            self.items.insert(self.at + 1, _KEEP)

    def close(self):
        if self._changed and self.at > self.items.index(_KEEP) - 1:
            self.at -= 1
        ListPage.close(self)

    def _is_look(self):
        return self.item() is not _NEW and self.item() is not _KEEP

    # --- gestures ---

    def turn(self, detents):
        was = self.at
        ListPage.turn(self, detents)
        if self.at != was:
            self.seconds = None
        self.since = self.app.now

    def push_turn(self, detents):
        if not self._is_look():
            return
        ms = int(self.seconds * 1000) if self.seconds is not None else self._fade_ms if self._seen else 2000
        for _ in range(abs(detents)):
            ms = times.dial_fade(ms, 1 if detents > 0 else -1)
        self.seconds = ms / 1000

    def choose(self, item):
        app = self.app
        if item is _NEW:
            app.open("look_store")
            return
        if item is _KEEP:
            app.try_to(undo_edits.store_over, app, self._changed, said="Stored in " + self._changed)
            app.open("looks")
            return
        # Where the light that is on is stored nowhere, undo brings it back.
        taken = once("firmware.ui.pages.undo_light", "take", app.stage, app.show.rig.fixtures)
        if app.try_to(app.stage.go, item, self.seconds):
            app.can_undo("going to " + item, once, "firmware.ui.pages.undo_light", "put_back", app.stage, taken)
            self._fill()
            self.at = self.items.index(item)

    def hold(self):
        if self._is_look():
            self.app.open("look", self.item())

    def list_hint(self):
        if not self._is_look():
            return ("turn", "choose"), ("push", "store"), ("back", "pages")
        push = "drop change" if self.item() == self._changed else "go"
        return ("turn", "choose"), ("push", push), ("push+turn", "time"), ("hold", "more"), ("back", "pages")

    # --- what a look holds ---

    def step(self, now):
        """Read the chosen look for its colours, while the knob rests and nothing fades."""
        item = self.item()
        if item is self._seen or not self._is_look() or now - self.since < _REST_MS or self.app.stage.left():
            return
        self._seen, self._count = item, 0
        try:
            lights, fade = self.app.show.looks.recall(item)
            self._fade_ms = fade & SOFT - 1
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
        if item is _NEW or item is _KEEP or item != stage.look:
            return item, ""
        left = stage.left()
        if left:
            return item, "%d.%d s" % (left // 1000, left % 1000 // 100)
        return item, "changed" if self._changed else "on"

    def below_height(self, c):
        return c.row

    def below(self, c, top, bottom):
        item = self.item()
        if not self._is_look():
            return
        c.box(0, top, c.width, 1, theme.EDGE)
        seen = item is self._seen
        if self.seconds is not None:
            words = "once in %g s" % self.seconds  # the look keeps its own
        else:
            words = "in " + times.seconds(self._fade_ms) if seen else ""
        x = c.width - c.pad
        x -= c.text(words, x, top + 1, fonts.BODY, theme.TEXT if self.seconds is None else theme.HOT, align=fonts.RIGHT)
        yield
        if seen:
            wide = min(24, (x - 2 * c.pad) // _SWATCHES)
            for k in range(self._count):
                c.tint(k, *self._inks[3 * k:3 * k + 3])
                c.swatch(c.pad + k * wide, top + 3, wide - 2, c.row - 4, k)
