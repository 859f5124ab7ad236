"""The firmware on the MicroPython VM, worked from outside: runs there, started by sim/vm_session.py.

    micropython -X heapsize=400k sim/vm_link.py BOARD FOLDER

In, one line each: `s N MS` step N turns of the loop of MS each, `t N` turn the knob, `d KEY`, `u KEY` key down and up,
`r HEX` a packet comes in, `g` tell the rig, `m [NAME, {TRIMS}]` set trims.
Out, frames: one letter, four bytes of length (little-endian), data:
  F  u32 ms, then the slots sent     P  u16 top, u16 bottom, then those rows
  C  sixteen u16 of the palette      B  brightness, one byte
  J  the rig as JSON, if it changed  V  u32 heap used, free, u32 mean and longest step in µs
  I  u32 good packets that came in   .  all that was asked is done
  E  a traceback, then it ends       T  a tone: u16 Hz, u16 ms
"""

import gc
import io
import json
import struct
import sys
import time

if sys.implementation.name == "micropython":
    sys.path.insert(0, ".")

from hal.disk import Disk
from hal.receiver import Receiver
from sim.hands import Board, Clock


def tell(kind, *parts):
    """Send one frame."""
    out = sys.stdout.buffer
    out.write(kind + struct.pack("<I", sum(len(part) for part in parts)))
    for part in parts:
        out.write(part)


class Line:
    """Tells the slots it is given; what comes in goes through the chips' own receiver."""

    has_input = True
    drive = True

    def __init__(self, clock, tells):
        self._clock = clock
        self._tells = tells
        self._receiver = Receiver()
        self.every = False

    @property
    def counts(self):
        """Of the receiver."""
        return self._receiver.counts

    def send(self, slots):
        """Tell the slots; of the first line only."""
        if self._tells:
            tell(b"F", struct.pack("<I", self._clock.ms()), slots)

    def timing(self, hz=0, break_us=176, mark_us=16):
        """The line outside keeps its own timing."""

    def hear(self, slots):
        """A packet of start code 0 comes in."""
        self._receiver.n = 0
        self._receiver.put(0)
        for slot in slots:
            self._receiver.put(slot)
        self._receiver.finish()

    def received(self):
        """The newest whole packet not handed up before, or None."""
        return self._receiver.take(self._clock.ms())

    def held(self):
        """The VM starts anew each time."""


class Panel:
    """A panel; rows that are shown are told."""

    rows = 16

    def __init__(self, width, height, bits):
        self.width = width
        self.height = height
        self.bits = bits
        self.buffer = bytearray(width * self.rows * bits // 8)
        self._view = memoryview(self.buffer)

    def show(self, top, bottom, first=0):
        """Tell rows top..bottom-1."""
        across = self.width * self.bits
        rows = self._view[first * across // 8 : (first + bottom - top) * across // 8]
        tell(b"P", struct.pack("<HH", top, bottom), rows)

    def palette(self, colours):
        """Tell the colours."""
        tell(b"C", struct.pack("<16H", *colours))

    def brightness(self, percent):
        """Tell the light."""
        tell(b"B", bytes([percent]))


class Buzzer:
    """Tells its tones."""

    def tone(self, hz, ms):
        """Tell a tone."""
        tell(b"T", struct.pack("<HH", hz, ms))


def keys(module):
    """Names of a board's keys, and its foot switch."""
    return tuple(module.KEYS) + (() if module.FOOT is None else ("foot",))


class Device:
    """The app on such a board. `does`: the verbs that come in."""

    def __init__(self, module, folder):
        self.clock = Clock()
        self.lines = tuple(Line(self.clock, n == 0) for n in range(len(module.LINES)))
        panel = Panel(module.PANEL["width"], module.PANEL["height"], module.PANEL["bits"])
        disk = Disk(folder)
        self.board = Board(module.NAME, module.CHIP, self.lines, panel, disk, self.clock, keys(module))
        self.board.buzzer = Buzzer()
        from firmware.app import App

        self.app = App(self.board)
        self._rig = -1
        self.does = {
            "s": self._step,
            "t": self._turn,
            "d": self._down,
            "u": self._up,
            "r": self._hear,
            "g": self._tell_rig,
            "m": self._trim,
        }

    def _step(self, words):
        count, ms = words.split()
        longest = total = 0
        for _ in range(int(count)):
            self.clock.pass_us(int(ms) * 1000)
            begun = time.ticks_us()
            self.app.step(self.clock.ms())
            took = time.ticks_diff(time.ticks_us(), begun)
            total += took
            longest = max(longest, took)
        tell(b"I", struct.pack("<I", self.lines[-1].counts["good"]))
        tell(b"V", struct.pack("<4I", gc.mem_alloc(), gc.mem_free(), total // max(int(count), 1), longest))

    def _turn(self, detents):
        self.board.knob.move(int(detents))

    def _down(self, name):
        self.board.keys.set(name, True)

    def _up(self, name):
        self.board.keys.set(name, False)

    def _hear(self, digits):
        self.lines[-1].hear(bytes.fromhex(digits))

    def _trim(self, words):
        name, trims = json.loads(words)
        show = self.app.show
        show.rig.trim(show.rig.find(name), **trims)
        show.save_rig()

    def _tell_rig(self, _nothing=""):
        rig = self.app.show.rig
        if rig.turn == self._rig:
            return
        self._rig = rig.turn
        told = []
        for f in rig.fixtures:
            p = f.personality
            told.append({"name": f.name, "address": f.address, "channels": p.channels, "emitters": p.emitters})
        tell(b"J", json.dumps(told).encode())


def main(board, folder):
    """Answer until the input ends."""
    try:
        device = Device(__import__("boards." + board, None, None, ("NAME",)), folder)
        tell(b".")
        for line in sys.stdin:
            verb, argument = line[0], line[1:].strip()
            device.does[verb](argument)
            tell(b".")
    except Exception as error:  # told outside, where a person sees it
        words = io.StringIO()
        sys.print_exception(error, words)
        tell(b"E", words.getvalue().encode())


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
