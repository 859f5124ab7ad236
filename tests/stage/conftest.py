"""A stage with one lamp of each kind."""

import pytest

from firmware.show.show import Show
from firmware.stage.stage import Stage
from sim.disk import MemoryDisk

KINDS = ("dim", "dim16", "white16", "tint16", "full16", "rgb16", "rgbw16", "rgbww16", "raw4")


def empty_show():
    """A show without lamps, on a disk of its own."""
    disk = MemoryDisk()
    disk.mkdir("shows")
    disk.mkdir("shows/a")
    return Show(disk, "shows/a")


@pytest.fixture
def stage():
    """A stage whose rig has one lamp of each kind, named by the kind, stepped once at 0 ms."""
    show = empty_show()
    for kind in KINDS:
        show.rig.add(kind, kind)
    s = Stage(show)
    s.step(0)
    return s


def slots(stage, name):
    """The slots of a lamp as whole 16-bit values (8-bit ones as they are), in channel order."""
    f = stage.show.rig.find(name)
    out = []
    for c in f.personality.channels:
        value = stage.frame[f.address - 1 + c[1]]
        out.append(value << 8 | stage.frame[f.address - 1 + c[2]] if c[2] >= 0 else value)
    return out
