"""A session in real time, and what each page that shows it has not been sent yet. Used by sim/server.py.

Steps are whole passes of the firmware's loop. How many there are follows from the clock of the event loop and the
speed.
"""

import asyncio

import boards
from sim import feeds, scene, scope
from sim.session import OnPython, Session

TICK = 0.008  # s between two steps of the session
STEP_MS = 1  # of the firmware's loop in real time: on a chip it repeats as fast as it can
FAST_STEP_MS = 4  # at more than real time
REPORT = 0.2  # s between two reports
LATE = 0.25  # s of real time that are made up for after a stall; more is skipped
SPEEDS = (0, 1, 10)
_EXCHANGES = 3  # by RDM, that are shown with the line
SHOWS = (("demo", "Night kitchen"), ("", "Empty device"))


class Viewer:
    """One browser tab: what has not been sent to it yet."""

    def __init__(self):
        self.wake = asyncio.Event()
        self.rows, self.texts = None, []
        self.frame = self.lights = self.hello = False
        self.camera = {"iso": 800, "fps": 24, "shutter": 180}
        self.meter = None  # where its meter stands: point, normal, dome
        self.resend()

    def resend(self):
        """Send everything to it again."""
        self.rows = (0, 1 << 16)
        self.texts = []
        self.frame = self.lights = self.hello = True
        self.wake.set()

    def post(self, **message):
        """Send it a JSON message. The newest of a kind takes the place of one that waits."""
        kind = next(iter(message))
        self.texts = [text for text in self.texts if kind not in text] + [message]
        self.wake.set()

    def touch(self, rows):
        """Rows top..bottom-1 of the panel have changed."""
        top, bottom = self.rows or rows
        self.rows = (min(top, rows[0]), max(bottom, rows[1]))
        self.wake.set()


class Live:
    """The session that runs, its speed, and its viewers. `operator`: the viewer that may operate the device."""

    def __init__(self, board, show, machines=None, files=None):
        """machines: {name: what a Session needs of a machine}, the first to begin with; None: those of this computer.
        files: {path: bytes} to begin with in place of the show."""
        self._machines = machines or machines_here()
        self.wanted = {"board": board, "show": show or "", "machine": next(iter(self._machines))}
        self._shows = [[value, text, True] for value, text in SHOWS]
        if self.wanted["show"] not in dict(SHOWS):
            self._shows.append([show, show, True])
        self.viewers = []
        self.operator = None
        self.speed = 1
        self.step_ms = STEP_MS
        self.packets = self.started = 0
        self._due = 0.0
        self._last_us = None
        self._lights = None
        self._nudge = asyncio.Event()
        self.session = None
        self._begin(self.wanted, files)

    def start(self, **wanted):
        """End the session and power up another. wanted: board, show, machine. With another board or machine, the files
        on the disk are kept; with a show, or with nothing, the disk is new. Errors: ValueError for a name that does not
        exist."""
        files = self.session.machine.files() if self.session and wanted and "show" not in wanted else None
        wanted = dict(self.wanted, **wanted)
        shows = [value for value, _text, _usable in self._shows]
        for kind, there in (("board", board_names()), ("machine", list(self._machines)), ("show", shows)):
            if wanted[kind] not in there:
                raise ValueError(f"no {kind} called {wanted[kind]!r}; there are: {', '.join(there)}")
        self._begin(wanted, files)

    def _begin(self, wanted, files):
        machine = self._machines[wanted["machine"]]
        try:
            session = Session(machine(wanted["board"], wanted["show"] or None, files))
        except Exception as error:  # whatever the firmware raises at its start: the old session goes on
            raise ValueError(f"{wanted['board']} does not start: {error!r}") from error
        if self.session:
            self.session.machine.close()
        self.session, self.wanted, self.speed = session, wanted, 1
        self._last_us = self._lights = None  # of another session, though they may have the same values
        self.started += 1
        self.resend()

    def power(self, on):
        """Cut the power or restore it; the panel goes dark without it."""
        self.session.power(on)
        for viewer in self.viewers:
            viewer.touch((0, self.session.machine.panel.height))

    def nudge(self):
        """Step the device at once: a gesture has just come."""
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
            self.pass_time(min(now - last, LATE) * self.speed)
            last = now
            self.note_changes()
            if now >= report:
                report = now + REPORT
                self.report()
            await asyncio.sleep(0)

    def pass_time(self, seconds):
        """Let virtual time pass, as whole steps."""
        self._due += seconds * 1000
        self.session.pace(self.step_ms if self.speed <= 1 else FAST_STEP_MS)
        count = int(self._due // self.session.step_ms)
        if count:
            self._due -= count * self.session.step_ms
            self.session.step(count)

    def one_packet(self):
        """Stop, and go on to the end of the next packet; at most a second, as a silent line has none."""
        self.speed, before = 0, self._newest()
        for _ in range(1000 // self.session.step_ms):
            self.session.step()
            if self._newest() != before:
                break

    def _newest(self):
        packets = self.session.machine.line.packets
        return packets[-1][0] if packets else None

    # -- what the viewers are sent

    def note_changes(self):
        """Note for the viewers what has changed."""
        machine = self.session.machine
        rows = machine.panel.touched()
        newest = self._newest()
        tones = machine.tones()
        lights = [value for lamp in self.session.lamps for value in lamp.xyz]
        for viewer in self.viewers:
            if rows:
                viewer.touch(rows)
            if tones:
                viewer.post(tones=tones)
            if newest != self._last_us:
                viewer.frame = True
                viewer.wake.set()
            if lights != self._lights:
                viewer.lights = True
                viewer.wake.set()
        self.packets += newest != self._last_us
        self._last_us, self._lights = newest, lights

    def report(self):
        """Post what is shown less often: state, meter, a changed rig."""
        if self.session.machine.powered and self.session.update_lamps():
            self.resend()
        state = self.state()
        for viewer in self.viewers:
            viewer.post(state=state)
            if viewer.meter:
                viewer.post(meter=self.reading(viewer))

    def state(self):
        """What the page shows beside pictures and slots."""
        session, machine = self.session, self.session.machine
        return {
            "ms": session.ms,
            "speed": self.speed,
            "power": machine.powered,
            "light": machine.panel.light if machine.powered else 0,
            "trouble": machine.trouble,
            "lines": machine.lines,
            "feed": self._heard(),
            "script": session.recorder.text(),
            "vitals": machine.vitals(),
            "line": self.measured(),
        }

    def _heard(self):
        """What comes in, in words."""
        session = self.session
        asks = f"The desk {session.desk.word}. " if session.desk else ""
        return asks + feed_words(session)

    def measured(self):
        """The newest packets as an oscilloscope shows them."""
        line = self.session.machine.line
        starts = [start for start, _slots in line.packets]
        periods = [b - a for a, b in zip(starts, starts[1:], strict=False)][-44:]
        if not starts or self.session.ms * 1000 - starts[-1] > scope.PERIOD_MAX:
            return scope.measure([])
        found = scope.measure(line.edges(starts[-1]), periods)
        found["rows"] += [exchange(asked) for asked in list(line.asked)[-_EXCHANGES:]]
        found["rows"] += [exchange(asked, "Desk") for asked in list(self.session.machine.asked_in)[-_EXCHANGES:]]
        return found

    def reading(self, viewer):
        """What a viewer's meters read where they stand."""
        pairs = zip(self.session.set["lamps"], self.session.lamps, strict=True)
        return scene.reading([(spot, lamp.xyz) for spot, lamp in pairs], *viewer.meter, viewer.camera,
                             self.session.machine.parts)

    def resend(self):
        """Send everything to all viewers again."""
        for viewer in self.viewers:
            viewer.resend()

    def hello(self, viewer):
        """What a page needs once."""
        machine = self.session.machine
        told = {
            "chip": machine.chip,
            "boards": board_names(),
            "shows": self._shows,
            "machines": list(self._machines),
            "feeds": [[name, feeds.MADE[name][0], True] for name in feeds.NAMES]
            + [["sacn", "sACN of this computer, by Wi-Fi", machine.has_radio]],
            "feed": self.session.feed_name,
            "panel": {"width": machine.panel.width, "height": machine.panel.height},
            "keys": machine.keys,
            "fixtures": self.session.fixtures,
            "set": self.session.set,
            "hand": viewer is self.operator,
            "started": self.started,
        }
        return dict(self.wanted, **told)


def board_names():
    """The boards that there are."""
    return sorted(boards.NAMES)


def machines_here():
    """The machines that the firmware can run on, on this computer: {name: class}."""
    from sim.vm_session import OnVm, executable

    return {machine.name: machine for machine in ([OnPython, OnVm] if executable() else [OnPython])}


def exchange(asked, who="RDM"):
    """A row for an exchange by RDM: what was asked, what came back, and whether that begins in the time that ANSI E1.20
    gives a responder: 176 µs to 2.0 ms (from memory). who: asks: "RDM": the device on its line; "Desk": a desk, on the
    device's port in."""
    packet, wait = asked.packet, asked.answer_us - asked.end_us
    what = who + {0x10: " finds", 0x20: " asks", 0x30: " sets"}.get(packet[20], "")
    words = f"{len(asked.answer)} slots after {wait} µs" if asked.answer else "silence"
    inside = not asked.answer or 176 <= wait <= 2000
    return [f"{what} {packet[21]:02X}{packet[22]:02X}h", words, "176 to 2000 µs", inside]


def feed_words(session):
    """What comes in by the cable and by the network, in words."""
    cable, heard = receiver_words(session.machine.counts) if session.feed else "", session.machine.heard
    return heard + ". By cable: " + cable if heard and cable else heard or cable


def receiver_words(counts):
    """What the receiver made of the feed, in words."""
    bad = ", ".join(f"{n} {why}" for why, n in counts.items() if why != "good")
    return f"{counts['good']} packets, {bad}"
