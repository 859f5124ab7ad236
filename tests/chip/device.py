"""A whole device on the emulated chip: the shipped firmware, its show, its panel, and the hands that work it.

What it does is read from outside: the line by its edges, the steps of its loop by the watchdog, which the loop feeds at
the begin of each, the heap in RAM. Beside it runs its twin, the simulator with the same show and the same gestures. The
twin says which page is open and what is on it; that the two agree, the picture on the panel tells.
"""

from bisect import bisect

import boards
from tests.chip import shows
from tests.chip.emulated import Emulated
from tests.chip.glass import Glass
from tests.chip.heap import Heap
from tests.chip.line import Packets

TX = 0
RUNS = 2000 * 2000  # what the watchdog is loaded with while the app runs: 2 s, in half microseconds
_LOAD = 4  # the watchdog's register (data sheet 4.7.6)
_TAP_MS, _HOLD_MS, _QUARTER_NS = 80, 800, 2_000_000
_PAUSE_MS, _STILL, _MOST_MS = 20, 25, 3000  # of settle(); a page is worked on for up to 400 ms before it is sent
_BYTES = 600_000  # to the panel, and they are taken in: four whole pictures
_LOOK_MS = 1  # between two looks at the heap; a collection has marks in it for much longer


class Step:
    """One turn of the firmware's loop: ns at its begin; ms: its length; collecting: how many ms of it the heap was
    being collected, to one or two ms."""

    def __init__(self, ns, ms, collecting):
        self.ns, self.ms, self.collecting = ns, ms, collecting

    @property
    def own(self):
        """ms without the collecting."""
        return self.ms - self.collecting


class Device:
    """A device with its power on. board: a name in boards/; show: one of shows.KINDS; was: the frame that was on when
    it was switched off, or None; app: the twin's, while there is one."""

    def __init__(self, uf2, board="pico_tft", show="demo", files=None, **options):
        self.board = boards.load(board)
        there, self.was = shows.files(board, show)
        self.chip = Emulated(uf2, there if files is None else files, **options)
        self.line = Packets(self.chip.watch(TX))
        panel = self.board.PANEL
        self.glass = Glass(self.chip, panel)
        self._log = panel["id"] + 2 * (panel["bus"] == "i2c")  # the log of the panel's bus, as core.log() counts them
        self.twin = shows.twin(board, show) if files is None else None
        self._feeds = []  # (ns, what the watchdog was loaded with)
        self._collecting = []  # ns at which a collection was seen to go on
        self.heap = None  # as soon as the firmware starts the watchdog
        self._watch_feeds()
        self._look = self.chip.mcu.clock.create_alarm(self._look_at_heap)
        knob = self.board.KNOB
        self._a, self._b = knob["a"], knob["b"]
        self._keys = dict(zip(self.board.KEYS, self.board.KEY_PINS)) | {"foot": self.board.FOOT}
        for pin in (self._a, self._b, *self._keys.values()):
            self.chip.drive(pin, 1)

    def _watch_feeds(self):
        watchdog = self.chip.mcu.watchdog
        write = watchdog.write_uint32

        def noted(offset, value):
            if offset == _LOAD:
                if self.heap is None:
                    self.heap = Heap(self.chip)
                    self._look_at_heap()
                self._feeds.append((self.chip.ns, value))
            write(offset, value)

        watchdog.write_uint32 = noted

    def _look_at_heap(self):
        if self.heap.collecting():
            self._collecting.append(self.ns)
        self._look.schedule(_LOOK_MS * 1_000_000)

    @property
    def app(self):
        return self.twin.app

    @property
    def ns(self):
        return self.chip.ns

    # --- time ---

    def run(self, ms):
        """Let time pass for the device, and for its twin."""
        self.chip.run(ms)
        self.line.take()  # edges are many
        if self.chip.core.log(self._log) > _BYTES:
            self.glass.look()
        if self.twin:
            self.twin.run(ms / 1000)

    def start(self, most_ms=20_000):
        """Run until the app's loop runs -> ms from power-up, or None."""
        begun = self.ns
        if not self.chip.run(most_ms, lambda: any(value <= RUNS for _, value in self._feeds)):
            return None
        return (next(ns for ns, value in self._feeds if value <= RUNS) - begun) / 1e6

    def start_again(self):
        """As start(), after a restart."""
        self._feeds.clear()
        return self.start()

    def power_cycle(self):
        """Power off, and on -> as start()."""
        self.chip.power_cut()
        self.line.take()
        del self.chip.edges[TX][:]  # of a packet that will never end
        self.chip.power_up()
        return self.start_again()

    def steps(self, since=0, until=None):
        """The steps that began in a stretch of time (ns)."""
        feeds = [ns for ns, _ in self._feeds if ns >= since and (until is None or ns <= until)]
        seen = self._collecting
        return [Step(a, (b - a) / 1e6, (bisect(seen, b) - bisect(seen, a)) * _LOOK_MS)
                for a, b in zip(feeds, feeds[1:])]

    def looping(self, since):
        """ns at the begin of the first step since then; None: none has begun."""
        return next((ns for ns, _ in self._feeds if ns >= since), None)

    # --- hands ---

    def edges_of_turn(self, detents, quarter_ns=_QUARTER_NS):
        """Turn the knob from now on, evenly -> ns of each detent's last edge. No time passes."""
        seq = ((self._a, 0), (self._b, 0), (self._a, 1), (self._b, 1))
        if detents < 0:
            seq = ((self._b, 0), (self._a, 0), (self._b, 1), (self._a, 1))
        after, ends = 0, []
        for _ in range(abs(detents)):
            for pin, level in seq:
                self.chip.drive(pin, level, after)
                ends.append(self.ns + after)
                after += quarter_ns
        return ends[3::4]

    def turn(self, detents, detent_ms=40):
        """Turn the knob, + clockwise, and wait as long as it takes."""
        for _ in range(abs(detents)):
            self.edges_of_turn(1 if detents > 0 else -1)
            self.chip.run(detent_ms)
            self.line.take()
        if self.twin:
            self.twin.turn(detents, detent_ms)

    def key(self, name, down):
        """Press a key, or release it -> ns."""
        self.chip.drive(self._keys[name], not down)
        return self.ns

    def tap(self, name):
        """Press a key and release it -> ns of the release."""
        return self._key_down(name, _TAP_MS)

    def press(self):
        """Push the knob and release it -> ns of the release."""
        return self.tap("push")

    def hold(self, name="push"):
        """Hold a key down, then release it -> ns of the release."""
        return self._key_down(name, _HOLD_MS)

    def _key_down(self, name, ms):
        self.key(name, True)
        self.chip.run(ms)
        released = self.key(name, False)
        self.chip.run(_TAP_MS)
        if self.twin:
            self.twin.hold(name, ms / 1000)
        self.settle()
        return released

    def settle(self):
        """Wait as a person does who looks before going on: until the loop runs freely and the panel has been still for
        a while, or is drawn all the time."""
        sent, still = -1, 0
        for _ in range(_MOST_MS // _PAUSE_MS):
            self.run(_PAUSE_MS)
            count, free = self.chip.core.log(self._log), self._feeds and self.ns - self._feeds[-1][0] < _PAUSE_MS * 1e6
            still = still + 1 if free and count == sent else 0
            sent = count
            if still == _STILL:
                return

    def push_turn(self, detents):
        """Turn the knob while it is pushed."""
        self.key("push", True)
        self.chip.run(_TAP_MS)
        for _ in range(abs(detents)):
            self.edges_of_turn(1 if detents > 0 else -1)
            self.chip.run(40)
        self.key("push", False)
        self.chip.run(_TAP_MS)
        if self.twin:
            self.twin.push_turn(detents)

    # --- eyes ---

    def differs(self):
        """The share of the panel's bytes, 0..1, that are not as on the twin's; of the small panel without its foot,
        whose hints take turns by a clock that the two do not share."""
        self.glass.look()
        mine, its = self.glass.screen.rgb(), self.twin.panel.rgb()
        if self.board.PANEL["bits"] == 1:
            mine, its = mine[: len(mine) * 2 // 3], its[: len(its) * 2 // 3]
        return sum(a != b for a, b in zip(mine, its)) / len(its)
