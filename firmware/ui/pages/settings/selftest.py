"""Self-test of a newly built device: knob, keys, panel, line, storage, supply; what to check where one fails.

Opened from Kit (app.open("selftest")). A cable from the out to the in closes the line's loop. The light that is on
stays on: the line test only listens. The first press of each key but black has no effect here; black always has.
"""

from micropython import const

from firmware.parts import once
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import theme
from firmware.ui.frame.gestures import BLACK
from firmware.ui.frame.page import Choice, note

_LISTEN_MS = const(2500)
_FILE = "selftest.tmp"
_LOW_MV, _HIGH_MV = const(4300), const(5500)  # at the board's 5 V; USB 2.0: 4.40 to 5.25 V at the device

_ADVICE = {
    "Knob": "Both ways? Encoder's A and B, its C to ground. Backwards: Kit, or swap A and B",
    "Keys": "The key's wire, its other leg to ground, and that it is not held down by the case",
    "Panel": "Bars and a frame without gaps? Else SCK, data, DC, CS, reset; its 3.3 V",
    "Line": "Cable from out to in? Data + and - swapped? DE and RE of each driver, its 3.3 V",
    "Storage": "Back up, flash MicroPython and firmware anew; fails again: a new board",
    "Supply": "Another cable, another USB supply; a bank that sleeps at low current",
}


class Page(Choice):
    """Turn through the tests; push runs the chosen one. `found`: what each has shown so far."""

    title = "Self-test"
    items = ("Knob", "Keys", "Panel", "Line", "Storage", "Supply")
    live = True

    def __init__(self, app):
        Choice.__init__(self, app)
        self.ways = 0  # bit 0: turned clockwise, bit 1: the other way
        self.pressed = app.gestures.down  # keys seen so far, a bit a key
        self.bars = False  # the panel's pattern is shown
        self.advice = ""  # shown on a small panel in place of the list
        self.until = 0  # ms: the line is listened to
        self.found = {}

    # --- gestures

    def turn(self, detents):
        self.ways |= 1 if detents > 0 else 2
        self.bars, self.advice = False, ""
        Choice.turn(self, detents)

    def step(self, now):
        gestures = self.app.gestures
        fresh = gestures.down & ~self.pressed
        if fresh:
            self.pressed |= fresh
            if fresh & ~(1 << BLACK):
                gestures.swallow()
        if self.until:
            self._listen(now)

    def choose(self, item):
        if self.bars or self.advice:
            self.bars, self.advice = False, ""
            return
        self.bars = item == "Panel"
        if item == "Line":
            self._begin()
        elif item == "Storage":
            self.found[item] = self._storage()
        elif item == "Supply":
            self.found[item] = self._supply()
        elif item == "Panel":
            self.found[item] = "seen"
        if "failed" in self.row(item)[1] or item in ("Knob", "Keys"):
            self._advise(item)

    def _advise(self, item):
        """On a small panel: what to check, in place of the list until the next gesture."""
        if not self.app.canvas.big:
            self.advice = _ADVICE[item]

    def leave(self):
        if self.bars or self.advice:
            self.bars, self.advice = False, ""
        else:
            self.app.open("settings")

    def hint(self):
        if self.bars or self.advice:
            return (("push", "list"), ("back", "list"))
        return (("turn", "choose"), ("push", "test"), ("back", "Kit"))

    # --- the tests

    def _ear(self):
        """The port that listens, or None."""
        return next((line for line in self.app.board.lines if line.has_input and not line.drive), None)

    def _begin(self):
        ear = self._ear()
        if ear is None:
            self.found["Line"] = "no input"
            return
        self._lend(True)
        ear.received()  # what came before
        self.found["Line"] = "listening"
        self.until = self.app.board.clock.ms() + _LISTEN_MS

    def _listen(self, now):
        heard = self._ear().received()
        if heard is not None and bytes(heard) == bytes(self.app.stage.frame[:len(heard)]):
            self.found["Line"] = "ok"
        elif now >= self.until:
            self.found["Line"] = "failed"
            self._advise("Line")
        else:
            return
        self.close()

    def close(self):
        if self.until:
            self.until = 0
            self._lend(False)

    def _lend(self, lent):
        once("firmware.ui.pages.feed.feed_control", "lend", self.app, lent)

    def _storage(self):
        disk, wrote = self.app.board.disk, b"halfstop" * 32
        try:
            disk.write(_FILE, wrote)
            good = disk.read(_FILE) == wrote
            disk.remove(_FILE)
        except OSError:
            good = False
        return "ok" + (", %d KB free" % (disk.free()[0] >> 10)) * self.app.canvas.big if good else "failed"

    def _supply(self):
        power = self.app.board.power
        mv = power.battery_mv()
        if mv is None:
            return "no meter"
        said = "%d.%02d V" % (mv // 1000, mv % 1000 // 10)
        if power.usb() and not _LOW_MV <= mv <= _HIGH_MV:
            return said + " failed"
        return said + (" USB" if power.usb() else "")

    # --- the screen

    def row(self, item):
        if item == "Knob":
            return item, ("turn it", "the other way", "the other way", "ok")[self.ways]
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
        if self.bars:
            return self._bars(c, top, bottom)
        if self.advice:
            return self._tell(c, top, bottom)
        return self._list(c, top, bottom)

    def _bars(self, c, top, bottom):
        """Every ink once, in a frame at the very edge."""
        wide = c.width // 16
        for ink in range(16):
            c.box(ink * wide, top, wide, bottom - top, ink)
            yield
        c.frame(0, top, c.width, bottom - top, theme.TEXT)

    def _list(self, c, top, bottom):
        """The tests, and under them on a large panel what to check for the chosen one."""
        if not c.big:
            return Choice.body(self, c, top, bottom)
        self._words(c, _ADVICE[self.item()], bottom - 2 * c.line_height(fonts.SMALL), 2)
        return Choice.body(self, c, top, top + c.row * len(self.items))

    def _tell(self, c, top, bottom):
        self._words(c, self.advice, top, (bottom - top) // c.line_height(fonts.SMALL))

    def _words(self, c, words, y, lines):
        note(c, words, y, fonts.SMALL, theme.DIM, lines)
