"""A stage with lamps of several kinds, and a feed whose packets a test hands over."""

import pytest

from firmware.show.show import Show
from firmware.stage.feed import Feed
from firmware.stage.stage import Stage
from sim.disk import MemoryDisk

FRAME_MS = 23  # 512 slots back to back: 22.7 ms (ANSI E1.11)


class Source:
    """What a line's receiver hands up, put there by the test."""

    def __init__(self):
        self.waiting = []
        self.every = False
        self.counts = {}

    def received(self):
        return memoryview(self.waiting.pop(0)) if self.waiting else None


class Set:
    """A stage and its feed on virtual time. slots: what the desk sends with every frame; None: it is silent."""

    def __init__(self, kinds):
        disk = MemoryDisk()
        disk.mkdir("shows")
        disk.mkdir("shows/a")
        show = Show(disk, "shows/a")
        for kind in kinds:
            show.rig.add(kind, kind)
        self.stage = Stage(show)
        self.source = Source()
        self.settings = {"on": 1, "lost": 0, "lost_ms": 5000, "back_ms": 2000, "rules": {}}
        self.now = 1000
        self.feed = Feed(self.stage, self.source, self.settings, self.now)
        self.slots = None

    def step(self, ms=FRAME_MS):
        """One step of the loop; a packet of the desk has come. -> the frame that goes out."""
        self.now += ms
        if self.slots is not None:
            self.source.waiting.append(bytes(self.slots))
        self.stage.step(self.now)
        self.feed.step(self.now)
        return bytes(self.feed.frame)

    def run(self, seconds):
        """-> the frames that went out."""
        return [self.step() for _ in range(round(seconds * 1000 / FRAME_MS))]

    def lamp(self, name):
        return self.stage.show.rig.find(name)

    def span(self, name, frame=None):
        """The slots of a lamp in a frame: the one that goes out."""
        f = self.lamp(name)
        return bytes((self.feed.frame if frame is None else frame)[f.address - 1 : f.last()])

    def holder(self, name):
        return self.feed.holder(self.stage.show.rig.fixtures.index(self.lamp(name)))


@pytest.fixture
def desk():
    """dim (slot 1), dim16 (2, 3), white16 (4..7), full16 (8..19), rgb (20..22), raw4 (23..26)."""
    return Set(("dim", "dim16", "white16", "full16", "rgb", "raw4"))
