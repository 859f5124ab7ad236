"""A session in real time, and what each page that looks on has not seen yet. Used by sim/server.py.

Steps are whole turns of the firmware's loop; how many is told by the clock of the event loop, times the
speed.
"""

import asyncio
import importlib
import pathlib

import boards
from sim import feeds, scene, scope
from sim.session import OnPython, Session
from sim.vm_session import OnVm, executable

TICK = 0.008  # s between two looks at the device
STEP_MS = 1  # of the firmware's loop in real time: on a chip it comes round as fast as it can
FAST_STEP_MS = 4  # at more than real time
REPORT = 0.2  # s between two reports
LATE = 0.25  # s of real time made up for after a stall; more is let go
SPEEDS = (0, 1, 10)
SHOWS = (("demo", "Night kitchen"), ("", "Empty device"))


class Viewer:
    """One browser tab: what it has not seen yet."""

    def __init__(self):
        self.wake = asyncio.Event()
        self.rows, self.texts = None, []
        self.frame = self.lights = self.hello = False
        self.camera = {"iso": 800, "fps": 24, "shutter": 180}
        self.meter = None  # where its meter stands: point, normal, dome
        self.greet()

    def greet(self):
        """Everything is new to it."""
        self.rows = (0, 1 << 16)
        self.texts = []
        self.frame = self.lights = self.hello = True
        self.wake.set()

    def tell(self, **message):
        """A JSON message; the newest of a kind replaces one that waits."""
        kind = next(iter(message))
        self.texts = [text for text in self.texts if kind not in text] + [message]
        self.wake.set()

    def touch(self, rows):
        """Rows top..bottom-1 of the panel changed."""
        top, bottom = self.rows or rows
        self.rows = (min(top, rows[0]), max(bottom, rows[1]))
        self.wake.set()


class Live:
    """The session that runs, its speed, and who looks on. `hand`: the viewer that may work the device."""

    def __init__(self, board, show):
        self.wanted = {"board": board, "show": show or "", "machine": OnPython.name}
        self._shows = [[value, text, True] for value, text in SHOWS]
        if self.wanted["show"] not in dict(SHOWS):
            self._shows.append([show, show, True])
        self.viewers = []
        self.hand = None
        self.speed = 1
        self.packets = self.started = 0
        self._due = 0.0
        self._last_us = None
        self._lights = None
        self._nudge = asyncio.Event()
        self.session = None
        self.start()

    def start(self, **wanted):
        """End the session and power up another. wanted: board, show, machine. With another board or machine the
        disk comes along; with a show, or with nothing, all is fresh. Errors: ValueError for one there is not."""
        files = self.session.machine.files() if self.session and wanted and "show" not in wanted else None
        wanted = {**self.wanted, **wanted}
        shows = [value for value, _text, _usable in self._shows]
        for kind, there in (("board", board_names()), ("machine", machine_names()), ("show", shows)):
            if wanted[kind] not in there:
                raise ValueError(f"no {kind} called {wanted[kind]!r}; there are: {', '.join(there)}")
        machine = OnVm if wanted["machine"] == OnVm.name else OnPython
        try:
            session = Session(machine(wanted["board"], wanted["show"] or None, files))
        except Exception as error:  # whatever the firmware raises at its start: the old session goes on
            raise ValueError(f"{wanted['board']} does not start: {error!r}") from error
        if self.session:
            self.session.machine.close()
        self.session, self.wanted, self.speed = session, wanted, 1
        self.started += 1
        self.greet()

    def power(self, on):
        """Pull the plug or put it back; the panel goes dark with it."""
        self.session.power(on)
        for viewer in self.viewers:
            viewer.touch((0, self.session.machine.panel.height))

    def nudge(self):
        """Look at the device at once: a hand has just moved it."""
        self._nudge.set()

    # -- time

    async def run(self):
        """Step the session in real time, for ever, and report five times a second."""
        clock = asyncio.get_running_loop().time
        last, report = clock(), 0.0
        while True:
            try:
                await asyncio.wait_for(self._nudge.wait(), TICK)
            except TimeoutError:
                pass
            self._nudge.clear()
            now = clock()
            self.let(min(now - last, LATE) * self.speed)
            last = now
            self.look()
            if now >= report:
                report = now + REPORT
                self.report()
            await asyncio.sleep(0)

    def let(self, seconds):
        """Let virtual time pass, as whole steps."""
        self._due += seconds * 1000
        self.session.pace(STEP_MS if self.speed <= 1 else FAST_STEP_MS)
        count = int(self._due // self.session.step_ms)
        if count:
            self._due -= count * self.session.step_ms
            self.session.step(count)

    def one_packet(self):
        """Stop, and go on to the end of the next packet (at most a second: a silent line has none)."""
        self.speed, before = 0, self._newest()
        for _ in range(1000 // self.session.step_ms):
            self.session.step()
            if self._newest() != before:
                break

    def _newest(self):
        packets = self.session.machine.line.packets
        return packets[-1][0] if packets else None

    # -- what the viewers must be shown

    def look(self):
        """Note what changed since the last look."""
        machine = self.session.machine
        rows = machine.panel.touched()
        newest = self._newest()
        tones = machine.tones()
        lights = [value for lamp in self.session.lamps for value in lamp.xyz]
        for viewer in self.viewers:
            if rows:
                viewer.touch(rows)
            if tones:
                viewer.tell(tones=tones)
            if newest != self._last_us:
                viewer.frame = True
                viewer.wake.set()
            if lights != self._lights:
                viewer.lights = True
                viewer.wake.set()
        self.packets += newest != self._last_us
        self._last_us, self._lights = newest, lights

    def report(self):
        """The slower things: state, meter, a changed rig."""
        if self.session.machine.powered and self.session.lookup():
            self.greet()
        state = self.state()
        for viewer in self.viewers:
            viewer.tell(state=state)
            if viewer.meter:
                viewer.tell(meter=self.reading(viewer))

    def state(self):
        """What the page shows besides pictures and slots."""
        session, machine = self.session, self.session.machine
        return {
            "ms": session.ms,
            "speed": self.speed,
            "power": machine.powered,
            "light": machine.panel.light if machine.powered else 0,
            "trouble": machine.trouble,
            "lines": machine.lines,
            "feed": heard(machine.counts) if session.feed else "",
            "script": session.recorder.text(),
            "vitals": machine.vitals(),
            "line": self.measured(),
        }

    def measured(self):
        """The newest packets through the oscilloscope."""
        line = self.session.machine.line
        starts = [start for start, _slots in line.packets]
        periods = [b - a for a, b in zip(starts, starts[1:], strict=False)][-44:]
        if not starts or self.session.ms * 1000 - starts[-1] > scope.PERIOD_MAX:
            return scope.measure([])
        return scope.measure(line.edges(starts[-1]), periods)

    def reading(self, viewer):
        """What a viewer's meters say where they stand."""
        pairs = zip(self.session.set["lamps"], self.session.lamps, strict=True)
        return scene.reading([(spot, lamp.xyz) for spot, lamp in pairs], *viewer.meter, viewer.camera)

    def greet(self):
        """Show everything anew to everyone."""
        for viewer in self.viewers:
            viewer.greet()

    def hello(self, viewer):
        """What a page must know once."""
        machine = self.session.machine
        return {
            **self.wanted,
            "chip": machine.chip,
            "boards": board_names(),
            "shows": self._shows,
            "machines": machine_names(),
            "feeds": [[name, text, True] for name, (text, _feed) in feeds.MADE.items()],
            "feed": self.session.feed_name,
            "panel": {"width": machine.panel.width, "height": machine.panel.height},
            "keys": machine.keys,
            "fixtures": self.session.fixtures,
            "set": self.session.set,
            "hand": viewer is self.hand,
            "started": self.started,
        }


def board_names():
    """The boards there are: modules of boards/ that describe a panel and keys."""
    names = sorted(path.stem for path in pathlib.Path(boards.__file__).parent.glob("[a-z]*.py"))
    return [name for name in names if hasattr(importlib.import_module("boards." + name), "PANEL")]


def machine_names():
    """What the firmware can run on here."""
    return [OnPython.name, OnVm.name] if executable() else [OnPython.name]


def heard(counts):
    """What the receiver made of the feed, in words."""
    bad = ", ".join(f"{n} {why}" for why, n in counts.items() if why != "good")
    return f"{counts['good']} packets, {bad}"
