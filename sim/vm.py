"""The firmware on a bare board: nothing but the MicroPython modules. Runs on the MicroPython VM, and on CPython.

tests/vm/scene.py starts it. A script is a file of lines "verb argument ...": verbs of sim/play.Hand and those below.
It prints one line a `frame` verb: "frame HEX"; `heap` prints the bytes in use after a collection.
"""

import gc

from sim.hands import Board, Clock
from sim.play import STEP_MS, Hand


class Line:
    """Keeps the newest frame."""

    has_input = False
    counts = {}
    every = False
    drive = True

    def __init__(self):
        self.slots = bytearray(512)

    def send(self, slots):
        """Keep the slots."""
        self.slots[:] = slots

    def timing(self, hz=0, break_us=128, mark_us=16):
        """Nothing to time here."""

    def received(self):
        """Nothing comes in."""

    def held(self):
        """Nothing was held."""


class Panel:
    """A panel that nobody looks at."""

    rows = 16

    def __init__(self, width, height, bits):
        self.width = width
        self.height = height
        self.bits = bits
        self.buffer = bytearray(width * self.rows * bits // 8)

    def show(self, top, bottom, first=0):
        """Nothing to send to."""

    def palette(self, colours):
        """Nothing to colour."""

    def brightness(self, percent):
        """Nothing to light."""


class Bare(Hand):
    """The app on such a board, moved by scripts."""

    def __init__(self, disk, panel):
        from firmware.app import App

        self.clock = Clock()
        self.line = Line()
        self.board = Board("bare", "none", (self.line,), panel, disk, self.clock)
        self.app = App(self.board)

    def step(self):
        """Let one turn of the firmware's loop pass."""
        self.clock.pass_us(STEP_MS * 1000)
        self.app.step(self.clock.ms())

    def do(self, words):
        """One line of a script, split into words -> what it prints, or None."""
        verb, args = words[0], words[1:]
        if verb == "frame":
            return "frame " + self.line.slots.hex()
        if verb == "heap":
            gc.collect()
            return "heap %d" % gc.mem_alloc()
        if verb in ("run", "turn", "push_turn"):
            getattr(self, verb)(float(args[0]) if verb == "run" else int(args[0]))
        else:
            getattr(self, verb)(*args)
        return None


def main(disk, script, size="128x64x1"):
    """Run a script file and print what it says -> the device as it is then. size: the panel's, with its bits."""
    device = Bare(disk, Panel(*[int(n) for n in size.split("x")]))
    with open(script) as lines:
        for line in lines:
            words = line.split()
            said = device.do(words) if words else None
            if said:
                print(said)
    return device
