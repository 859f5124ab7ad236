"""What the panel shows and how bright: draws the open page in slices, dims when nobody turns, sleeps. Made by the app.

Light goes first: a step of the app draws a slice of the page or sends some rows, and goes on with that only while the
step is young. That age is the one thing here that is read off the board's clock: how fast the chip is changes how soon
the panel shows a thing, never what it shows.
"""

from micropython import const

from firmware.ui.frame.page import draw, foot

# Tones: Hz, ms. Each says by its pitch and length what the words on the screen say too.
SAVED = (2600, 30)
REFUSED = (330, 150)
LOCKED = (880, 60)

_LIVE_MS = const(100)  # how often moving light is drawn
_MESSAGE_MS = const(4000)
_HINT_MS = const(2500)  # how long a line of hints stands where all have no room at once
_YOUNG_MS = const(1)  # age of a step at which no other slice is begun


class Screen:
    """`message`: shown in place of the hints, "" for none. `turns`: into how many parts the hints fall that take turns;
    `turn`: which part. `asleep`: the panel is dark to save night vision and power."""

    def __init__(self, canvas, board, settings):
        self.canvas = canvas
        self.message = ""
        self.turns = 1
        self.turn = 0
        self.asleep = False
        self._panel = board.panel
        self._clock = board.clock
        self._settings = settings
        self._until = 0  # the message's end
        self._whole = True  # all is to be drawn again
        self._part = False  # what a turn of the knob changed is
        self._moved = False  # the light moved since all was last drawn,
        self._drawn = 0  # ms
        self._drawing = None
        self._sent = True
        self._used = 0  # time of the last gesture
        self._level = -1

    def touch(self, anew=False):
        """Something changed: draw all again. anew: what is being drawn may lean on what is gone."""
        self._whole = True
        if anew:
            self._drawing = None

    def turned(self):
        """The knob was turned: draw again what that changed."""
        self._part = True

    def say(self, now, words):
        """Show a message for some seconds."""
        self.message = words
        self._until = now + _MESSAGE_MS
        self._whole = True

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
        return self._sent and self._drawing is None and not self._whole and not self._part

    def step(self, now, page, moved):
        """Draw some of the page or send some rows. moved: the light moved by itself."""
        self._shine(now)
        self._moved = moved or self._moved
        if self.message and now >= self._until:
            self.message = ""
            self._whole = True
        if self._sent and self._drawing is None and not self._begin(now, page):
            return
        while True:
            self._slice()
            if self._sent and self._drawing is None or self._clock.ms() - now >= _YOUNG_MS:
                return

    def _slice(self):
        if not self._sent:
            self._sent = self.canvas.flush()
            return
        try:
            next(self._drawing)
        except StopIteration:
            self._drawing = None
            self._sent = False

    def _begin(self, now, page):
        """Begin to draw all, or what a turn changed, or the hints whose turn it is. False: nothing is to be drawn."""
        if self._whole or (self._moved or page.live) and now - self._drawn >= _LIVE_MS:
            self._drawing = draw(page, self.canvas)
            self._whole = self._part = self._moved = False
            self._drawn = now
        elif self._part:
            self._drawing = draw(page, self.canvas, True)
            self._part = False
        elif self.turns > 1 and now // _HINT_MS != self.turn:
            self.turn = now // _HINT_MS
            self._drawing = foot(page, self.canvas)
        return bool(self._drawing)

    def _shine(self, now):
        """Set the panel's light: full, dimmed or off, by the time since the last gesture."""
        settings, idle = self._settings, now - self._used
        if settings["off_s"] and idle >= settings["off_s"] * 1000:
            self.asleep = True
        level = settings["light"]
        if self.asleep:
            level = 0
        elif settings["dim_s"] and idle >= settings["dim_s"] * 1000:
            level = min(level, settings["dim"])
        if level != self._level:
            self._level = level
            self._panel.brightness(level)
