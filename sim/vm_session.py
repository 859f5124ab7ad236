"""The firmware on the real MicroPython VM, as a machine for sim/session.py: the desktop's half of sim/vm_link.py.

The line and the clock are here, the app and its disk are there. Pulling the plug ends the VM; its folder stays.
"""

import importlib
import json
import pathlib
import select
import shutil
import struct
import subprocess
import sys
import tempfile
from array import array

from sim import demo, vm_link
from sim.disk import FolderDisk
from sim.hands import Clock
from sim.line import Line
from sim.panels.glass import Glass

HEAP = "1024k"  # the VM compiles the source as it goes, and its words are twice as wide as a chip's
_PATIENCE = 5  # s of real time until a VM that does not answer counts as hung
_ROOT = pathlib.Path(__file__).parent.parent


def executable():
    """Path of the unix VM, or None where it is not installed."""
    beside = pathlib.Path(sys.executable).parent / "micropython"
    return str(beside) if beside.exists() else shutil.which("micropython")


class OnVm:
    """The firmware under MicroPython: what a Session asks of a machine, done by a child process."""

    name = "MicroPython"
    has_radio = False
    heard = ""
    asked_in = ()  # its ports have no RDM

    def __init__(self, board, show, files=None):
        self.board, self.show, self.begun_with = board, show, files
        module = importlib.import_module("boards." + board)
        self.keys, self.chip = vm_link.keys(module), module.CHIP
        self.panel = Glass(*(module.PANEL[name] for name in ("width", "height", "bits")))
        self.clock = Clock()
        self.line, self._second = Line(self.clock), None  # the second port, once it sends
        self.trouble, self.counts = "", {"good": 0}
        self._lines = []
        self._folder = tempfile.TemporaryDirectory()
        self._tones = []
        self._rig, self._heaps, self._tick, self.parts = [], array("I"), (0, 0), 10
        if files is not None:
            self._write(files)
        elif show == "demo":
            demo.write(FolderDisk(self._folder.name))
        elif show is not None:
            shutil.copytree(show, pathlib.Path(self._folder.name) / "shows" / pathlib.Path(show).name)
        self._vm = None
        self.power(True)

    @property
    def ms(self):
        return self.clock.ms()

    @property
    def powered(self):
        return self._vm is not None

    @property
    def frame(self):
        return self.line.frame

    @property
    def frames(self):
        """Of all ports that send, one after the other."""
        return self.frame + (self._second.frame if self._second else b"")

    @property
    def lines(self):
        """What is written on the screen; nothing without power."""
        self._ask("w")
        return self._lines

    def step(self, count, ms):
        """Let the loop be passed `count` times, ms apart: there, then on the line here."""
        until = self.clock.us() + count * ms * 1000
        if self._vm and not self.trouble:
            self._ask(f"s {count} {ms}")
        self.clock.pass_us(until - self.clock.us())
        self.line.run_until(until)
        if self._second:
            self._second.run_until(until)

    def turn(self, detents):
        self._ask(f"t {detents}")

    def key(self, name, down):
        self._ask(f"{'d' if down else 'u'} {name}")

    def ask_in(self, packet):
        """A desk asks by RDM: nobody answers."""
        return b""

    def receive(self, slots):
        self._ask("r " + slots.hex())

    def files(self):
        """The files on the disk: {path: bytes}."""
        root = pathlib.Path(self._folder.name)
        return {path.relative_to(root).as_posix(): path.read_bytes() for path in root.rglob("*") if path.is_file()}

    def _write(self, files):
        for name, data in files.items():
            path = pathlib.Path(self._folder.name) / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)

    def trim(self, name, trims):
        """Set trims of a fixture and save the rig."""
        self._ask("m " + json.dumps([name, trims]))

    def rig(self):
        """The fixtures patched now, as plain values."""
        self._ask("g")
        return self._rig

    def power(self, on):
        """Start the VM on its folder, or end it at once."""
        self.close_vm()
        self.line.cut()
        self._second = None
        self.panel.clear()
        self.trouble, self._lines = "", []
        if on:
            self._boot()

    def _boot(self):
        """A new child process; its clock begins now."""
        self.close_vm()
        command = [executable(), "-X", "heapsize=" + HEAP, "sim/vm_link.py", self.board, self._folder.name]
        pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "bufsize": 0}
        self._start_us = self.clock.us()
        self._vm = subprocess.Popen(command, cwd=_ROOT, **pipes)
        self._try_read_frames()

    def vitals(self):
        """Heap and time of a tick, in words."""
        if not self._heaps:
            return ""
        low, high = min(self._heaps) // 1024, max(self._heaps) // 1024
        return f"heap {low}–{high} of {HEAP[:-1]} KB (64-bit), step {self._tick[0]} µs, longest {self._tick[1]} µs"

    def restart(self):
        """Start the VM anew on its folder, with the line going on."""
        if self._vm:
            self.trouble = ""
            self._boot()

    def tones(self):
        """What the buzzer was asked for since the last call: pairs of Hz and ms."""
        tones, self._tones = self._tones, []
        return tones

    def forgive(self):
        """The traceback has been read: start again."""
        if self.trouble:
            self.restart()

    def close_vm(self):
        """End the child process, if there is one."""
        if self._vm:
            self._vm.kill()
            self._vm.wait()
            self._vm.stdin.close()
            self._vm.stdout.close()
            self._vm = None

    def close(self):
        """End it all, folder too."""
        self.close_vm()
        self._folder.cleanup()

    def _ask(self, line):
        if not self._vm or self.trouble:
            return
        try:
            self._vm.stdin.write(line.encode() + b"\n")
        except BrokenPipeError:
            pass  # what it reported before it ended is still to be read
        self._try_read_frames()

    def _try_read_frames(self):
        try:
            self._read_frames()
        except (EOFError, TimeoutError) as error:
            self.trouble = f"The MicroPython VM ended: {error}"

    def _read_frames(self):
        """Take frames until the VM says that all is done."""
        while True:
            head = self._read(5)
            kind, data = head[:1], self._read(struct.unpack("<I", head[1:])[0])
            if kind == b".":
                return
            _TAKES[kind](self, data)
            if self.trouble:
                return

    def _read(self, count):
        data = bytearray()
        while len(data) < count:
            if not select.select([self._vm.stdout], [], [], _PATIENCE)[0]:
                raise TimeoutError(f"no answer in {_PATIENCE} s")
            more = self._vm.stdout.read(count - len(data))
            if not more:
                raise EOFError(f"exit status {self._vm.wait()}")
            data += more
        return bytes(data)

    def _take_frame(self, data):
        """The VM's clock began at its boot; the one here runs on through power cuts."""
        at = self._start_us + struct.unpack("<I", data[:4])[0] * 1000
        self.clock.pass_us(max(0, at - self.clock.us()))
        self.line.send(data[4:])

    def _take_second(self, data):
        self._second = self._second or Line(self.clock)
        self._second.send(data[4:])

    def _take_vitals(self, data):
        used, _free, mean, longest, self.parts = struct.unpack("<5I", data)
        self._heaps.append(used)
        del self._heaps[:-200]
        self._tick = mean, longest

    def _take_counts(self, data):
        self.counts = {"good": struct.unpack("<I", data)[0]}

    def _take_light(self, data):
        self.panel.light = data[0]

    def _take_rig(self, data):
        self._rig = json.loads(data)

    def _take_text(self, data):
        self._lines = json.loads(data)

    def _take_trouble(self, data):
        self.trouble = data.decode()


_TAKES = {
    b"F": OnVm._take_frame,
    b"G": OnVm._take_second,
    b"P": lambda vm, data: vm.panel.show(struct.unpack("<H", data[:2])[0], data[4:]),
    b"C": lambda vm, data: vm.panel.palette(data),
    b"B": OnVm._take_light,
    b"J": OnVm._take_rig,
    b"V": OnVm._take_vitals,
    b"I": OnVm._take_counts,
    b"T": lambda vm, data: vm._tones.append(struct.unpack("<2H", data)),
    b"W": OnVm._take_text,
    b"E": OnVm._take_trouble,
}
