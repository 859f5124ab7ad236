"""What the panel shows, and how bright: draws the open page in slices, dims the panel when there are no gestures, and
lets it sleep. Made by the app.

Where the panel does not answer the device runs blind: the board's lamp blinks and the sounder tells, and every second
the panel is tried again.

Light goes first: in a step of the app the screen draws a slice of the page or sends some rows, and goes on with that
only while the step has taken less than _STEP_MS. That time is the one thing here that is read off the board's clock:
the speed of the chip changes how soon the panel shows a thing, never what it shows.
"""

from micropython import const

from firmware.ui.frame.page_draw import draw, draw_foot

# Tones: Hz, ms. Pitch and length say what the words on the screen say too.
SAVED = (2600, 30)
REFUSED = (330, 150)
LOCKED = (880, 60)

_LIVE_MS = const(100)  # how often moving light is drawn
_MESSAGE_MS = const(4000)
_MORE_MS = const(1500)  # so much earlier a piece of a message goes that has more behind it
_READ_MS = const(400)  # a push so soon after a message came was not meant for it
_HINT_MS = const(2500)  # how long a group of hints is shown, where not all have room at once
_TURNED_MS = const(100)  # how often what is turned is drawn
_REST_MS = const(300)  # without a turn, and the knob rests
_AGAIN_MS = const(1000)  # between two tries of a panel that does not answer
_STEP_MS = const(1)  # after so long a time in a step, no other slice is begun


class Screen:
    """`message`: shown in place of the hints, "" for none; `shown`: how many letters of it there is room for; the rest
    follows. `offer`: what a push does while the message stands, (verb, arguments), or None. `hint_groups`: how many
    groups of hints are shown one after the other; `hint_group`: a number that counts on with each change of group.
    `asleep`: True while the panel is dark, to spare eyes and power. `blind`: True while the panel does not answer;
    `fault`: that in words, until the app has logged it."""

    def __init__(self, canvas, board, settings):
        self.canvas = canvas
        self.message = ""
        self.shown = 0
        self.offer = None
        self.state = ""  # of the stage, as the title says it
        self.hint_groups = 1
        self.hint_group = 0
        self.hints = self.hint_spread = None  # those that were last laid out, and how (page_draw.py)
        self.asleep = False
        self.blind = False
        self.fault = ""
        self._again = 0  # ms: when a blind panel is next tried
        self._panel, self._led, self._buzzer = board.panel, board.led, board.buzzer
        self._clock = board.clock
        self._settings = settings
        self._message_end = 0  # ms
        self._draw_all = True  # True: all is to be drawn again
        self._draw_turned = False  # True: what a turn of the knob changed is to be drawn again
        self._drawn_turned = 0  # ms: when that was last drawn
        self._rests = 0  # ms: when all is to be drawn after a turn, 0: not
        self._moved = False  # True: the light moved since all was last drawn
        self._drawn = 0  # ms: when all was last drawn
        self._drawing = None  # the generator that draws the page
        self._sent = True  # True: the panel has what was drawn
        self._last_gesture = 0  # ms
        self._level = -1  # brightness of the panel, per cent

    def touch(self, anew=False):
        """Something changed: draw all again. anew: stop what is being drawn, as it may use what is there no longer."""
        self._draw_all = True
        if anew:
            self._drawing = None

    def turned(self, now):
        """The knob was turned: draw again what that changed, and all when it has rested, where the page asks for that.
        """
        self._draw_turned = True
        self._rests = now + _REST_MS

    def say(self, now, words, offer=None):
        """Show a message for some seconds, piece by piece where the foot has no room for all."""
        self.message, self.offer = words, offer
        self.shown = len(words)  # until it is drawn
        self._message_end = now + _MESSAGE_MS
        self._draw_all = True

    def take_offer(self, now):
        """The knob was pushed -> what the message offers for that; None: the push is the page's."""
        offer = self.offer
        if not offer or now < self._message_end - _MESSAGE_MS + _READ_MS:
            return None
        self.message, self.offer = "", None
        return offer

    def wake(self, now):
        """There was a gesture -> True if it woke a sleeping panel."""
        self._last_gesture = now
        was, self.asleep = self.asleep, False
        return was

    def sleep(self):
        """Keep the panel dark until the next gesture."""
        self.asleep = True

    def done(self):
        """True when the panel shows all there is to show."""
        return (self._sent and self._drawing is None
                and not (self._draw_all or self._draw_turned or self._rests))

    # Machine code on the chips.
    def step(self, now, page, moved):
        """Draw some of the page or send some rows. now: ms; page: the open one; moved: the light moved by itself."""
        self._moved = moved or self._moved
        if self.blind and not self._sees_again(now):
            return
        self._set_brightness(now)
        if self.blind:
            return
        if self.message and now >= self._message_end - (_MORE_MS if self.shown < len(self.message) else 0):
            self._next_piece(now)
        if self._rests and now >= self._rests:
            self._rests = 0
            self._draw_all = self._draw_all or page.rough
        if self._sent and self._drawing is None and not self._begin(now, page):
            return
        while True:
            self._slice(now)
            if self._sent and self._drawing is None or self._clock.ms() - now >= _STEP_MS:
                return

    def _next_piece(self, now):
        """What the foot had no room for comes now; after the last piece the hints do."""
        offer = self.offer
        self.say(now, self.message[self.shown:], offer)
        self._message_end -= _READ_MS  # it is the same message
        if not self.message:
            self.offer = None

    # Machine code on the chips.
    def _slice(self, now):
        """Send some rows, or draw a slice of the page."""
        if not self._sent:
            try:
                self._sent = self.canvas.flush()
            except OSError as e:
                self._go_blind(now, e)
            return
        try:
            next(self._drawing)
        except StopIteration:
            self._drawing = None
            self._sent = False

    # Machine code on the chips.
    def _begin(self, now, page):
        """Begin to draw all, or what a turn changed, or the next group of hints. False: nothing is to be drawn."""
        if self._draw_all or (self._moved or page.live) and now - self._drawn >= _LIVE_MS:
            self._drawing = draw(page, self.canvas)
            self._draw_all = self._draw_turned = self._moved = False
            self._drawn = now
        elif self._draw_turned and now - self._drawn_turned >= _TURNED_MS:
            self._drawing = draw(page, self.canvas, True)
            self._draw_turned = False
            self._drawn_turned = now
        elif self.hint_groups > 1 and now // _HINT_MS != self.hint_group:
            self.hint_group = now // _HINT_MS
            self._drawing = draw_foot(page, self.canvas)
        return bool(self._drawing)

    # Machine code on the chips.
    def _set_brightness(self, now):
        """Set the panel's brightness, full, dimmed or off, by the time since the last gesture."""
        settings, idle = self._settings, now - self._last_gesture
        if settings["off_s"] and idle >= settings["off_s"] * 1000:
            self.asleep = True
        level = settings["light"]
        if self.asleep:
            level = 0
        elif settings["dim_s"] and idle >= settings["dim_s"] * 1000:
            level = min(level, settings["dim"])
        if level != self._level:
            self._level = level
            try:
                self._panel.brightness(level)
            except OSError as e:
                self._go_blind(now, e)

    def _go_blind(self, now, error):
        self.blind, self._again = True, now + _AGAIN_MS
        self._drawing, self._sent = None, True
        self.fault = "The panel does not answer (%s): check its wires" % (error.args[0] if error.args else "?")
        self._led(1)
        if self._settings["sound"]:
            self._buzzer.tone(*REFUSED)

    def _sees_again(self, now):
        """Try a panel that does not answer, when it is time -> True where it does."""
        if now < self._again:
            self._led(now + _AGAIN_MS // 2 < self._again)
            return False
        self._again = now + _AGAIN_MS
        try:
            self._panel.begin()
        except OSError:
            return False
        self.blind, self._level = False, -1
        self._led(0)
        self.canvas.forget()
        self.touch(True)
        return True
