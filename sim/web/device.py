"""Runs on MicroPython in the browser's worker: a live session with one page, worked from worker.js.

Text passes between MicroPython and JavaScript, bytes do not: those go by a file of the VM's own file system.
"""

import builtins
import io
import json
import sys

if sys.implementation.name == "micropython":
    _zip = zip
    builtins.zip = lambda *rows, strict=False: _zip(*rows)
    builtins.RecursionError = RuntimeError

from sim import talk
from sim.bench import Bench
from sim.live import FAST_STEP_MS, LATE, REPORT, Live, Viewer
from sim.panels.glass import Glass
from sim.session import OnPython
from sim.vm import Panel

OUT = "/out"  # the file with the binary messages of a tick


class GlassPanel(Panel):
    """A panel without a driver: what is drawn is on the glass at once."""

    def __init__(self, glass, bits):
        super().__init__(glass.width, glass.height, bits)
        self._glass = glass
        self._view = memoryview(self.buffer)

    def show(self, top, bottom, first=0):
        """Rows top..bottom-1."""
        across = self.width * self.bits
        self._glass.show(top, self._view[first * across // 8 : (first + bottom - top) * across // 8])

    def palette(self, colours):
        """Sixteen colours."""
        self._glass.colours(colours)

    def brightness(self, percent):
        """The light behind it."""
        self._glass.light = percent


class WebBench(Bench):
    """A Bench whose panel takes rows as the canvas has them."""

    def make_panel(self, described):
        """As Bench's."""
        glass = Glass(described["width"], described["height"], described["bits"])
        return GlassPanel(glass, described["bits"]), glass

    def do(self, words):
        """Do a line of a script, as sim/vm.py has them -> the frame as hex for the verb "frame"."""
        verb, args = words[0], words[1:]
        if verb == "frame":
            return self.frame.hex()
        getattr(self, verb)(*[float(a) if verb == "run" else int(a) if a[-1].isdigit() else a for a in args])
        return None


class OnWeb(OnPython):
    """The machine of the session."""

    name = "MicroPython"

    def make_bench(self):
        """As OnPython's."""
        return WebBench

    def make_air(self):
        """A page has no UDP."""

    def _crashed(self, error):
        words = io.StringIO()
        sys.print_exception(error, words)
        self.trouble = words.getvalue()
        return self.trouble.split("\n")[-3].strip()


class Worker:
    """The session and its one page. Methods take and give text only."""

    def __init__(self, wanted):
        """wanted: JSON: {"board", "show", "files": {path: hex} or null}."""
        wanted = json.loads(wanted)
        files = wanted["files"]
        if files is not None:
            files = {path: bytes.fromhex(data) for path, data in files.items()}
        self.live = Live(wanted["board"], wanted["show"], {OnWeb.name: OnWeb}, files)
        self.live.step_ms = FAST_STEP_MS  # this VM takes longer for a pass of the loop
        self.viewer = self.live.operator = Viewer()
        self.live.viewers.append(self.viewer)
        self._report = 0.0
        self._kept = None

    def hear(self, text):
        """A message of the page."""
        talk.hear(self.live, self.viewer, text)

    def tick(self, seconds):
        """Let time pass -> what the page is to be sent: a JSON list of objects, and of the lengths of binary messages,
        which are in the file OUT one after the other; "" for nothing."""
        self.live.pass_time(min(seconds, LATE) * self.live.speed)
        self.live.note_changes()
        self._report -= seconds
        if self._report <= 0:
            self._report = REPORT
            self.live.report()
        out = []
        if self.viewer.hello:
            self.viewer.hello = False
            out.append({"hello": self.live.hello(self.viewer)})
        pictures = list(talk.pictures(self.live, self.viewer))
        if pictures:
            with open(OUT, "wb") as file:
                for data in pictures:
                    file.write(data)
        out += [len(data) for data in pictures]
        out += self.viewer.texts
        self.viewer.texts = []
        return json.dumps(out) if out else ""

    def changed(self):
        """What is to be kept between visits, as __init__ takes it; "" where it is as at the last call."""
        machine = self.live.session.machine
        state = self.live.started, machine.bench.disk.writes
        if state == self._kept:
            return ""
        self._kept = state
        files = {path: data.hex() for path, data in machine.files().items()}
        return json.dumps({"board": self.live.wanted["board"], "show": self.live.wanted["show"], "files": files})

    def vcd(self):
        """The last packets on the line as a VCD file; "" before the first."""
        try:
            return self.live.session.machine.line.vcd()
        except ValueError:
            return ""

    def script(self):
        """What was done since power-up, as a Bench script."""
        return self.live.session.script()

    def play(self, text):
        """Play a feed from the text of a file -> what is wrong with it."""
        from sim import feeds

        try:
            self.live.session.play("file", feeds.from_text(text))
        except ValueError as error:
            return f"That file is no feed: {error}"
        return ""


def run_script(board, text):
    """The frames of a script on a new device with the demo show: a JSON list of hex. For the tests."""
    bench = WebBench(board, "demo")
    return json.dumps([frame for frame in [bench.do(line.split()) for line in text.split("\n") if line] if frame])


def as_json(files):
    """What host/looks_log.as_json makes of files: JSON {"files", "faults"}. files: JSON {path: hex}."""
    from host import looks_log

    found, faults = looks_log.as_json({path: bytes.fromhex(data) for path, data in json.loads(files).items()})
    return _told(found, faults)


def as_log(files):
    """As as_json, with host/looks_log.as_log."""
    from host import looks_log

    return _told(looks_log.as_log({path: bytes.fromhex(data) for path, data in json.loads(files).items()}), [])


def _told(files, faults):
    return json.dumps({"files": {path: data.hex() for path, data in files.items()}, "faults": [str(f) for f in faults]})
