"""The self-test of a newly built device: knob, keys, panel, line, storage, supply; and what to check where one fails.
Opened by Settings.

For the test of the line a cable leads from the out to the in. The light that is on stays on: the test only listens. The
first push of each key has no effect on this page, but for the black key, which always has. Each finding is heard too,
and what failed is logged in words: where the panel is missing, the board's lamp blinks (ui/frame/screen.py), and
`halfstop status` tells what the tests found.
"""

from micropython import const

from firmware.parts import once
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.gestures import BLACK
from firmware.ui.frame.list_page import ListPage
from firmware.ui.frame.paragraph import paragraph
from firmware.ui.frame.screen import REFUSED, SAVED

_LISTEN_MS = const(2500)
# Packets a second during the test: between them the line rests for 10 ms, which a swapped pair turns into a break, and
# what follows into a packet that is refused. Without a rest a swapped pair reads as silence.
_SLOW_HZ = const(30)
_FILE = "selftest.tmp"
_LOW_MV, _HIGH_MV = const(4300), const(5500)  # at the board's 5 V; USB 2.0: 4.40 to 5.25 V at the device

_ADVICE = {
    "Knob": "Both ways? Encoder's A and B, its C to ground. Backwards: Settings, or swap A and B",
    "Keys": "The key's wire, its other leg to ground, and that it is not held down by the case",
    "Panel": "Bars and a frame without gaps? Else SCK, data, DC, CS, reset; its 3.3 V",
    "Line": "Cable from out to in? Data + and - swapped? DE and RE of each driver, its 3.3 V",
    "Storage": "Back up, flash MicroPython and firmware anew; fails again: a new board",
    "Supply": "Another cable, another USB supply; a bank that sleeps at low current",
}


class Page(ListPage):
    """A turn chooses a test, a push runs it. `found`: what each test has shown so far, by its name."""

    title = "Self-test"
    parent = "settings"
    items = ("Knob", "Keys", "Panel", "Line", "Storage", "Supply")
    live = True

    def __init__(self, app):
        ListPage.__init__(self, app)
        self.directions = 0  # bit 0: the knob was turned clockwise; bit 1: the other way
        self.pressed = app.gestures.down  # the keys seen so far, a bit for each
        self.pattern = False  # True: the pattern that tests the panel is shown
        self.advice = ""  # what to check; on a small panel it stands in place of the list
        self.listening = False  # the test of the line runs, from `since` on
        self.found = {}

    # --- gestures

    def turn(self, detents):
        was = self.directions
        self.directions |= 1 if detents > 0 else 2
        if self.directions != was:
            self.app.say("", SAVED if self.directions & 1 else REFUSED)  # A and B may be swapped
        self.pattern, self.advice = False, ""
        ListPage.turn(self, detents)

    def step(self, now):
        gestures = self.app.gestures
        fresh = gestures.down & ~self.pressed
        if fresh:
            self.pressed |= fresh
            self.app.say("", SAVED)
            if fresh & ~(1 << BLACK):
                gestures.swallow()
        if self.listening:
            self._step_line(now)

    def choose(self, item):
        if self.pattern or self.advice:
            self.pattern, self.advice = False, ""
            return
        self.pattern = item == "Panel"
        if item == "Line":
            self._begin_line()
        elif item == "Storage":
            self.found[item] = self._test_storage()
        elif item == "Supply":
            self.found[item] = self._test_supply()
        elif item == "Panel":
            self.found[item] = "failed" if self.app.screen.blind else "seen"
        if item in ("Knob", "Keys"):
            self._advise(item)
        elif not self.listening:
            self._tell(item)

    def _tell(self, item):
        """Let a finding be heard, and log one that is not as it should be."""
        app, words = self.app, self.row(item)[1]
        bad = "failed" in words or "?" in words
        app.say("", REFUSED if bad else SAVED)
        if bad:
            app.log.add(app.now, "Self-test, %s: %s" % (item.lower(), words), "selftest")
            self._advise(item)

    def _advise(self, item):
        """Show what to check: on a small panel, in place of the list until the next gesture."""
        if not self.app.canvas.big:
            self.advice = _ADVICE[item]

    def leave(self):
        if self.pattern or self.advice:
            self.pattern, self.advice = False, ""
        else:
            ListPage.leave(self)

    def list_hint(self):
        if self.pattern or self.advice:
            return (("push", "list"), ("back", "list"))
        return (("turn", "choose"), ("push", "test"), ("back", "Settings"))

    # --- the tests

    def _listener(self):
        """The port that listens, or None."""
        return next((line for line in self.app.board.lines if line.has_input and not line.drive), None)

    def _begin_line(self):
        port = self._listener()
        if port is None:
            self.found["Line"] = "port 2 sends" if getattr(self.app.board, "outs", 1) > 1 else "no input"
            return
        self._take_input(True)
        port.received()  # drop what came before
        self._pace(_SLOW_HZ)
        self.refused = self._refused(port)
        self.found["Line"] = "listening"
        self.listening, self.since = True, self.app.now

    def _step_line(self, now):
        heard = self._listener().received()
        if heard is not None and bytes(heard) == bytes(self.app.stage.frame[:len(heard)]):
            self.found["Line"] = "ok"
        elif now - self.since >= _LISTEN_MS:
            self.found["Line"] = "swapped?" if self._refused(self._listener()) > self.refused else "failed"
        else:
            return
        self.close()
        self._tell("Line")

    def close(self):
        if self.listening:
            self.listening = False
            self._pace(0)
            self._take_input(False)

    def _pace(self, hz):
        for line in self.app.board.lines:
            if line.drive:
                line.timing(hz)

    def _refused(self, port):
        """How many packets a port has refused."""
        return sum(port.counts.values()) - port.counts["good"]

    def _take_input(self, taken):
        """Keep incoming packets away from the feed, while the line is tested."""
        once("firmware.ui.pages.feed.feed_control", "lend_input", self.app, taken)

    def _test_storage(self):
        disk, wrote = self.app.board.disk, b"halfstop" * 32
        try:
            disk.write(_FILE, wrote)
            good = disk.read(_FILE) == wrote
            disk.remove(_FILE)
        except OSError:
            good = False
        return "ok" + (", %d KB free" % (disk.free()[0] >> 10)) * self.app.canvas.big if good else "failed"

    def _test_supply(self):
        power = self.app.board.power
        mv = power.battery_mv()
        if mv is None:
            return "no meter"
        words = "%d.%02d V" % (mv // 1000, mv % 1000 // 10)
        if power.usb() and not _LOW_MV <= mv <= _HIGH_MV:
            return words + " failed"
        return words + (" USB" if power.usb() else "")

    # --- the screen

    def row(self, item):
        if item == "Knob":
            return item, ("turn right", "now left", "went left?", "ok")[self.directions]
        if item == "Keys":
            return item, self._keys()
        return item, self.found.get(item, "push")

    def _keys(self):
        """ "ok", or the names of the keys that were not pressed yet."""
        names = self.app.board.keys.names
        left = [name for n, name in enumerate(names) if not self.pressed >> n & 1 and name != "foot"]
        if left and not self.app.canvas.big:
            return "%d to press" % len(left)
        return "press " + " ".join(left) if left else "ok"

    def body(self, c, top, bottom):
        if self.pattern:
            return self._draw_pattern(c, top, bottom)
        if self.advice:
            return self._draw_words(c, self.advice, top, bottom)
        return self._draw_list(c, top, bottom)

    def _draw_pattern(self, c, top, bottom):
        """Draw each ink once, in a frame at the very edge."""
        wide = c.width // 16
        for ink in range(16):
            c.box(ink * wide, top, wide, bottom - top, ink)
            yield
        c.frame(0, top, c.width, bottom - top, theme.TEXT)

    def _draw_list(self, c, top, bottom):
        """Draw the tests, and below them, on a large panel, what to check for the chosen one."""
        if not c.big:
            return ListPage.body(self, c, top, bottom)
        return self._draw_both(c, top, bottom)

    def _draw_both(self, c, top, bottom):
        yield from self._draw_words(c, _ADVICE[self.item()], bottom - 2 * c.line_height(fonts.SMALL), bottom)
        yield from ListPage.body(self, c, top, top + c.row * len(self.items))

    def _draw_words(self, c, words, top, bottom):
        yield from paragraph(c, words, top, fonts.SMALL, theme.DIM, (bottom - top) // c.line_height(fonts.SMALL))
