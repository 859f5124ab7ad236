"""A monkey on a device that sends two universes: nothing breaks, and both lines have what the stage or the feed says.

WALK=100000 sets how many gestures a panel gets; 1,500 without it, to keep the suite quick.
"""

import os

import pytest

from sim import demo, vm
from sim.disk import MemoryDisk
from sim.hands import Board, Clock
from tests.ui import walker


class Both:
    """Two lines as one, as the walker reads it: the slots of both, as many as the frame has."""

    def __init__(self, lines, app):
        self._lines, self._app = lines, app

    @property
    def slots(self):
        return self.whole[:len(self._app.stage.frame)]

    @property
    def whole(self):
        return b"".join(bytes(line.slots) for line in self._lines)


class TwoPorts(vm.Bare):
    """A bare board whose second port sends."""

    def __init__(self, disk, panel):
        from firmware.app import App

        self.clock = Clock()
        lines = vm.Line(), vm.Line()
        self.board = Board("bare", "none", lines, panel, disk, self.clock)
        self.board.outs, self.board.lamps = 2, 128
        self.app = App(self.board)
        self.line = Both(lines, self.app)


@pytest.mark.parametrize("panel", walker.SIZES)
def test_a_monkey_finds_nothing_on_two_universes(panel):
    disk = MemoryDisk()
    demo.write(disk)
    with walker.loaded.as_after_boot() as known:
        device = TwoPorts(disk, vm.Panel(*walker.SIZES[panel]))
        walked = walker.Walker(panel, 7, known, device)
        walked.watch(walked.app)
        device.app.show.rig.add("rgbw", "Far", 613)
        longest = 0
        with walker.quick():
            for _ in range(int(os.environ.get("WALK", "1500")) // 50):
                walked.walk(50)
                frame = bytes((device.app.feed or device.app.stage).frame)
                assert device.line.whole == frame + bytes(1024 - len(frame))
                longest = max(longest, len(frame))
    assert longest == 1024 and len(walked.pages) > 10
