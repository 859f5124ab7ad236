"""The firmware on the MicroPython VM, worked from outside: runs there, started by sim/vm_session.py.

    micropython -X heapsize=400k sim/vm_link.py BOARD FOLDER

In, one line each: `s N MS` N passes of the loop, MS apart; `t N` turn the knob; `d KEY`, `u KEY` key down and up;
`r HEX` a packet comes in; `g` report the rig; `w` report what is written on the screen; `m [NAME, {TRIMS}]` set trims.
Out, frames: one letter, four bytes of length (little-endian), data:
  F  u32 ms, then the slots sent     P  u16 top, u16 bottom, then those rows
  G  the same of the second port
  C  sixteen u16 of the palette      B  brightness, one byte
  J  the rig as JSON, if it changed  V  u32 heap used, free, u32 mean and longest step in µs
  I  u32 good packets that came in   .  all that was asked is done
  E  a traceback, then it ends       T  a tone: u16 Hz, u16 ms
  W  the screen's lines as JSON, if they changed
"""

import gc
import io
import json
import struct
import sys
import time

if sys.implementation.name == "micropython":
    sys.path.insert(0, ".")

from firmware.parts import once
from firmware.show import rig_edit
from hal.disk import Disk
from hal.receiver import Receiver
from sim.hands import Board, Clock
from sim.panels.textlog import TextLog
from sim.vm import Line, Panel


def report(kind, *parts):
    """Send one frame."""
    out = sys.stdout.buffer
    out.write(kind + struct.pack("<I", sum(len(part) for part in parts)))
    for part in parts:
        out.write(part)


class LinkLine(Line):
    """Reports the slots that it is given; what comes in goes through the receiver that the chips have."""

    has_input = True

    def __init__(self, clock, letter):
        """letter: of its reports; b"": nobody asks what it sends."""
        super().__init__()
        self._clock = clock
        self._letter = letter
        self._receiver = Receiver()
        self.counts = self._receiver.counts

    def send(self, slots):
        """Report the slots."""
        if self._letter:
            report(self._letter, struct.pack("<I", self._clock.ms()), slots)

    def receive(self, slots):
        """A packet of start code 0 comes in."""
        self._receiver.n = 0
        self._receiver.put(0)
        for slot in slots:
            self._receiver.put(slot)
        self._receiver.finish()

    def received(self):
        """The newest whole packet not handed up before, or None."""
        return self._receiver.take(self._clock.us() // 1000)


class LinkPanel(Panel):
    """Reports the rows that are shown, and how."""

    def __init__(self, width, height, bits):
        super().__init__(width, height, bits)
        self._view = memoryview(self.buffer)

    def show(self, top, bottom, first=0):
        """Report rows top..bottom-1."""
        across = self.width * self.bits
        rows = self._view[first * across // 8 : (first + bottom - top) * across // 8]
        report(b"P", struct.pack("<HH", top, bottom), rows)

    def palette(self, colours):
        """Report the colours."""
        report(b"C", struct.pack("<16H", *colours))

    def brightness(self, percent):
        """Report the light."""
        report(b"B", bytes([percent]))


class LinkBuzzer:
    """Reports its tones."""

    def tone(self, hz, ms):
        """Report a tone."""
        report(b"T", struct.pack("<HH", hz, ms))


def keys(module):
    """Names of a board's keys, and its foot switch."""
    return tuple(module.KEYS) + (() if module.FOOT is None else ("foot",))


class Device:
    """The app on such a board. `does`: the verbs that come in."""

    def __init__(self, module, folder):
        self.clock = Clock()
        disk = Disk(folder)
        outs = once("firmware.first_light", "outs", disk, getattr(module, "UNIVERSES", 1))
        self.lines = tuple(LinkLine(self.clock, (b"F", b"G")[n] if n < outs else b"") for n in range(len(module.LINES)))
        panel = LinkPanel(module.PANEL["width"], module.PANEL["height"], module.PANEL["bits"])
        self.board = Board(module.NAME, module.CHIP, self.lines, panel, disk, self.clock, keys(module))
        self.board.buzzer = LinkBuzzer()
        if hasattr(module, "UNIVERSES"):
            self.board.outs, self.board.lamps = outs, module.LAMPS
        from firmware.app import App

        self.app = App(self.board)
        self._rig = -1
        self._text, self._written = TextLog(self.app.canvas), []
        self.does = {
            "s": self._step,
            "t": self._turn,
            "d": self._down,
            "u": self._up,
            "r": self._receive,
            "g": self._report_rig,
            "w": self._report_text,
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
        report(b"I", struct.pack("<I", self.lines[-1].counts["good"]))
        parts = 3 if self.app.settings["level"] else 10  # of a stop
        report(b"V", struct.pack("<5I", gc.mem_alloc(), gc.mem_free(), total // max(int(count), 1), longest, parts))

    def _turn(self, detents):
        self.board.knob.move(int(detents))

    def _down(self, name):
        self.board.keys.set(name, True)

    def _up(self, name):
        self.board.keys.set(name, False)

    def _receive(self, digits):
        self.lines[-1].receive(bytes.fromhex(digits))

    def _trim(self, words):
        name, trims = json.loads(words)
        show = self.app.show
        rig_edit.trim(show.rig, show.rig.find(name), **trims)
        show.save_rig()

    def _report_rig(self, _nothing=""):
        rig = self.app.show.rig
        if rig.changes == self._rig:
            return
        self._rig = rig.changes
        fixtures = []
        for f in rig.fixtures:
            p = f.personality
            fixtures.append({"name": f.name, "address": f.address, "channels": p.channels, "emitters": p.emitters})
        report(b"J", json.dumps(fixtures).encode())

    def _report_text(self, _nothing=""):
        strokes = self._text.strokes()
        if strokes == self._written:
            return
        self._written = strokes
        report(b"W", json.dumps(self._text.lines()).encode())


def main(board, folder):
    """Answer until the input ends."""
    try:
        device = Device(__import__("boards." + board, None, None, ("NAME",)), folder)
        report(b".")
        for line in sys.stdin:
            verb, argument = line[0], line[1:].strip()
            device.does[verb](argument)
            report(b".")
    except Exception as error:  # reported, so that a person sees it
        words = io.StringIO()
        sys.print_exception(error, words)
        report(b"E", words.getvalue().encode())


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
