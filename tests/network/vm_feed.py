"""Runs on the unix VM: takes a file of packets of one sender in, 638 octets each. Prints the bytes of heap that the
code and the source take, those that a step at rest and a step with a packet allocate, how many packets were taken,
the first slot of the last, and how many packets went out. The second argument is the universe that goes out, or 0; the
third 1 where a cable brings a packet in each step too, which gives way to the network."""

import gc
import sys

sys.path.insert(0, ".")
gc.collect()
before = gc.mem_alloc()
from firmware import feed_network  # noqa: E402

gc.collect()
code = gc.mem_alloc() - before
from vm_radio import Radio  # noqa: E402  beside this script


class Clock:
    now = 1000

    def ms(self):
        return self.now


class Cable:
    """Brings a packet whenever `fresh` is set."""

    fresh = drive = every = False
    slots = bytes(b"\xff" * 512)

    def __init__(self):
        self.counts = {}

    def received(self):
        if self.fresh:
            self.fresh = False
            return self.slots
        return None


class Board:
    radio = "radio_of_the_test"


class Stage:
    frame = bytearray(512)


class App:
    board = Board()
    feed = None
    stage = Stage


class Module:
    Radio = Radio


sys.modules["radio_of_the_test"] = Module
board = App.board
board.clock = Clock()
gc.collect()
before = gc.mem_alloc()
settings = {"on": 1, "first": 1, "wifi": "Studio", "password": "", "universe": 1, "universe2": 0,
            "out": int(sys.argv[2]), "out2": int(sys.argv[4]), "priority": 100, "own": 0, "own_password": ""}
cable = Cable() if sys.argv[3] == "1" else None
source = feed_network.NetworkIn(App, settings, cable)
gc.collect()
taken = gc.mem_alloc() - before
with open(sys.argv[1], "rb") as file:
    packets = [file.read(638) for _ in range(50)]
rest, most, good, slot = 0, 0, 0, -1
for n, packet in enumerate(packets):
    board.clock.now += 23
    Stage.frame[0] = n
    start = gc.mem_alloc()
    source.received()
    between = gc.mem_alloc()
    board.made.data = packet
    if cable:
        cable.fresh = True
    slots = source.received()
    end = gc.mem_alloc()
    if slots is not None:
        good += 1
        slot = slots[0]
    source.received()
    if n > 1:  # the first makes the sender
        rest, most = max(rest, between - start), max(most, end - between)
print(code, taken, rest, most, good, slot, board.made.sent)
