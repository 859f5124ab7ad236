"""The soak's device: the app on a board whose line, panel and disk can be watched and broken; it is started, restarted
and unplugged as hal/rp2 and firmware/main.py do it."""

import errno
import traceback
import types

from firmware import first_light, light_only, parts
from firmware.app import App
from firmware.wire import dmx
from hal import board_parts
from sim import hands, vm
from sim.line import Line
from sim.play import Hand

TICKS = 1 << 30  # MicroPython's ticks_ms wraps there (its documentation of time)
# From reset to the first packet, and to the loop's first step: docs/CHIP.md has both, measured on an emulated RP2040.
BOARD_MS, APP_MS = 565, 2640
CALM_MS = 30_000  # as in firmware/main.py


class Wire(Line):
    """A line whose gaps are measured: ms from one break to the next, without the rest that a chosen rate adds. `worst`:
    with nothing between, `exchanged`: with an exchange by RDM, `restarted`: with a restart, `powered`: from power to
    the first packet."""

    def __init__(self, clock):
        super().__init__(clock)
        self.worst = self.exchanged = self.restarted = self.powered = 0
        self._last, self._why, self._rest_us = None, "powered", 0
        self.off(0)

    def off(self, us, why="powered"):
        """The chip stops at that time."""
        self._last, self._why = us if why == "powered" or self._last is None else self._last, why

    def _start(self, us):
        if self.asked and not self._why and self.asked[-1].start_us > self._last:
            self._why = "exchanged"
        if self._last is not None:
            kind = self._why or "worst"
            setattr(self, kind, max(getattr(self, kind), (us - self._last - self._rest_us) / 1000))
        self._last, self._why = us, ""
        super()._start(us)
        self._rest_us = dmx.idle_us(len(self._slots), self._hz, self._break_us, self._mark_us)

    def skip(self, us):
        """So much time passes in which nobody looks: the same packet again and again."""
        self._free_us += us
        self._last = self._last and self._last + us


class Panel(vm.Panel):
    """A panel that can be unplugged: `missing`."""

    missing = False

    def _answer(self, *_args):
        if self.missing:
            raise OSError(errno.ETIMEDOUT)

    begin = show = brightness = _answer  # the palette lies in RAM (hal/panels/st7789.py)


def ticking(clock):
    """A board's own Clock, from 0 on, over ticks that wrap; `clock` has the time that passes."""
    began = clock.us()
    board_parts.time = types.SimpleNamespace(
        ticks_ms=lambda: (clock.us() - began) // 1000 % TICKS,
        ticks_diff=lambda a, b: (a - b + TICKS // 2) % TICKS - TICKS // 2)
    made = board_parts.Clock()
    made.us = clock.us  # asked by sim/hands.Power
    return made


class Device(Hand):
    """One device. `clock`: the time that passes, over all starts; `wire`: the line; `cable`: the port that listens;
    `crashes`: what was raised since it was made, in words; `feed`: a function of sim/feeds.py, or None. app is None
    without power."""

    def __init__(self, disk, size, watch):
        self.clock, self.disk, self._watch = hands.Clock(), disk, watch
        self.wire, self.cable = Wire(self.clock), Line(self.clock)
        self.panel = Panel(*size)
        self.crashes, self.feed, self._fed = [], None, 0
        self.app = self.board = None
        self.power_up()

    @property
    def line(self):
        """The line, as sim/vm.Bare has it: `slots` is what goes out."""
        return types.SimpleNamespace(slots=self.wire._slots)

    def power_up(self, restarted="power", crashes=0):
        """Start: the line first, then the app. Nothing is loaded yet but what the app needs at all times."""
        for part in parts._open[:]:
            part.close()
        self.disk.power_up()
        self.board = hands.Board("soak", "rp2040", (self.wire, self.cable), self.panel, self.disk, ticking(self.clock),
                                 restarted=restarted)
        self.board.power.crashes = crashes
        self._pass(BOARD_MS)
        first = self.wire.held() or first_light.light(self.disk)
        if first:
            self.wire.send(first)
        self._pass(APP_MS - BOARD_MS)
        self._calm = self.clock.us() + CALM_MS * 1000
        self.guard(lambda: setattr(self, "app", App(self.board)))
        self.wire.run_until(self.clock.us())
        if self.app:
            self._watch(self.app)

    def restart(self, crashes=0):
        """The chip restarts with its power on."""
        self.wire.off(self.clock.us(), "restarted")
        for line in (self.wire, self.cable):
            line.restart()
        self.app = None
        self.power_up("reset", crashes)

    def unplug(self, ms=1000):
        """No power for so long."""
        for line in (self.wire, self.cable):
            line.cut()
        self.app = None
        self.clock.pass_us(ms * 1000)
        self.wire.off(self.clock.us())

    def guard(self, call):
        """Let the firmware do something; what it raises is noted, and restarts the chip, as main.py does."""
        try:
            call()
        except Exception as error:  # whatever it is, it is what the soak looks for
            self.crashes.append("".join(traceback.format_exception(error, limit=-6, chain=False)))
            light_only.log(self.board, error, "soak")
            if self.board.power.crashes >= 3:
                raise AssertionError("three crashes in a row: only the light is left") from None
            self.restart(self.board.power.crashes + 1)

    def step(self):
        """One pass of the loop, 4 ms after the one before."""
        self.walk(self.step_ms)

    def walk(self, ms):
        """Let so many ms pass, then the app do a step; while packets come in, a step every 20 ms at the latest, as
        many as the port has memory for."""
        while ms > 0 and self.app:
            part = min(ms, 20) if self.feed else ms
            self._pass(part)
            ms -= part
            self.guard(lambda: self.app.step(self.board.clock.ms()))
            if self.board.power.crashes and self.clock.us() >= self._calm:
                self.board.power.calm()

    def _pass(self, ms):
        until = self.clock.us() + ms * 1000
        while self.feed and self._fed <= until:
            slots = self.feed(self._fed // 1000)
            if slots:
                self.cable.receive(slots, us=self._fed)
            self._fed += 23_000
        self.clock.pass_us(ms * 1000)
        self.wire.run_until(self.clock.us())
        self._fed = max(self._fed, self.clock.us())

    def age(self, ms):
        """Leave it alone until it has been up for so many ms; only the app's steps happen."""
        up = self.board.clock.ms() + self.app.log.moved_s * 1000
        while up < ms:
            part = min(ms - up, 2 * 86_400_000)
            up += part
            self.clock.pass_us(part * 1000)
            self.wire.skip(part * 1000)
            self._fed = self.clock.us()  # else a desk would send all that it could have sent meanwhile
            self.guard(lambda: self.app.step(self.board.clock.ms()))
