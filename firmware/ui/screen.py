"""What the panel shows and how bright: draws the open page in slices, dims when nobody turns, sleeps. Made by the app.

A step of the app either draws a slice of the page or sends some rows to the panel, never both: light goes first.
"""

from micropython import const

from firmware.ui.page import draw, foot

# Tones: Hz, ms. Each says by its pitch and length what the words on the screen say too.
SAVED = (2600, 30)
REFUSED = (330, 150)
LOCKED = (880, 60)

_LIVE_MS = const(100)  # how often moving light is drawn
_MESSAGE_MS = const(4000)
_HINT_MS = const(2500)  # how long a line of hints stands where all have no room at once
_ROWS = const(16)  # sent in one step


class Screen:
    """`message`: shown in place of the hints, "" for none. `turns`: into how many parts the hints
    fall that take turns; `turn`: which part. `asleep`: the panel is dark to save night vision and power."""

    def __init__(self, canvas, panel, kit):
        self.canvas = canvas
        self.message = ""
        self.turns = 1
        self.turn = 0
        self.asleep = False
        self._panel = panel
        self._kit = kit
        self._until = 0  # the message's end
        self._dirty = True
        self._moved = False  # the light moved since it was last drawn
        self._drawing = None
        self._sent = True
        self._drawn = 0
        self._used = 0  # time of the last gesture
        self._level = -1

    def touch(self, whole=False):
        """Something changed: draw again. whole: what is being drawn may lean on what is gone; begin anew."""
        self._dirty = True
        if whole:
            self._drawing = None

    def say(self, now, words):
        """Show a message for some seconds."""
        self.message = words
        self._until = now + _MESSAGE_MS
        self._dirty = True

    def wake(self, now):
        """A gesture. -> True if it did no more than wake a sleeping panel."""
        self._used = now
        was, self.asleep = self.asleep, False
        return was

    def sleep(self):
        """Dark until the next gesture."""
        self.asleep = True

    def done(self):
        """True when the panel shows all there is to show."""
        return self._sent and self._drawing is None and not self._dirty

    def drawing(self):
        """True if the next step draws, False if it sends."""
        return self._sent

    def step(self, now, page, moving):
        """Draw a slice of the page or send some rows. moving: the light moves by itself."""
        self._shine(now)
        self._moved = moving or self._moved
        if self.message and now >= self._until:
            self.message = ""
            self._dirty = True
        if not self._sent:
            self._sent = self.canvas.flush(_ROWS)
            return
        if self._drawing is None:
            if not self._dirty and not ((self._moved or page.live) and now - self._drawn >= _LIVE_MS):
                self._hints(now, page)
                return
            self._dirty, self._moved, self._drawn = False, False, now
            self._drawing = draw(page, self.canvas)
        try:
            next(self._drawing)
        except StopIteration:
            self._drawing = None
            self._sent = False

    def _hints(self, now, page):
        """Where the hints have no room at once, let the next of them have their turn."""
        if self.turns > 1 and now // _HINT_MS != self.turn:
            self.turn = now // _HINT_MS
            foot(page, self.canvas)
            self._sent = False

    def _shine(self, now):
        """Set the panel's light: full, dimmed or off, by the time since the last gesture."""
        kit, idle = self._kit, now - self._used
        if kit["off_s"] and idle >= kit["off_s"] * 1000:
            self.asleep = True
        level = kit["light"]
        if self.asleep:
            level = 0
        elif kit["dim_s"] and idle >= kit["dim_s"] * 1000:
            level = min(level, kit["dim"])
        if level != self._level:
            self._level = level
            self._panel.brightness(level)
