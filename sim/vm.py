"""The firmware on a bare board: nothing but the MicroPython modules. Runs on the MicroPython VM, and on CPython.

tests/vm/scene.py starts it. A script is a file of lines "verb argument ...": verbs of sim/play.Hand and those below.
It prints one line a `frame` verb: "frame HEX"; `heap` prints the bytes in use after a collection.
"""

import gc

from sim.hands import Board, Clock
from sim.play import STEP_MS, Hand

# As in firmware/wire/dmx.py, which a board drops once it is made: the heap that is weighed here must not have it.
# tests/test_contract.py holds them equal.
SLOTS_MAX, BREAK_US, MARK_US = 512, 128, 16


class Line:
    """A line that stores the newest frame. Nothing comes in."""

    has_input = False
    counts = {}
    every = False
    drive = True
    rdm = ""

    def __init__(self):
        self.slots = bytearray(SLOTS_MAX)

    def send(self, slots):
        """Store the slots."""
        self.slots[:] = slots

    def timing(self, hz=0, break_us=BREAK_US, mark_us=MARK_US):
        """Nothing to time here."""

    def received(self):
        """Nothing comes in."""

    def held(self):
        """The VM starts anew each time."""


class Panel:
    """A panel that nobody looks at: only its buffer is there."""

    rows = 16

    def __init__(self, width, height, bits):
        self.width = width
        self.height = height
        self.bits = bits
        self.buffer = bytearray(width * self.rows * bits // 8)

    def begin(self):
        """Nothing to start."""

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
        """Let one pass of the firmware's loop happen."""
        self.clock.pass_us(STEP_MS * 1000)
        self.app.step(self.clock.ms())

    def age(self, ms):
        """Leave the device alone for so long."""
        self.clock.pass_us(int(ms) * 1000)

    def do(self, words):
        """Do one line of a script, split into words -> what it prints, or None."""
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
    """Run a script file and print what its lines print -> the device as it is then. size: of the panel, with its bits.
    """
    device = Bare(disk, Panel(*[int(n) for n in size.split("x")]))
    with open(script) as lines:
        for line in lines:
            words = line.split()
            answer = device.do(words) if words else None
            if answer:
                print(answer)
    return device
