"""A stage with a few lamps and looks, and a player of its running order."""

import pytest

from firmware.show.show import Show
from firmware.stage.running_order_player import OrderPlayer
from firmware.stage.stage import Stage
from sim.disk import MemoryDisk

LOOKS = {"A": (1, 0.25), "B": (0.2, 1), "C": (0.5, 0.5), "D": (0, 0.75)}


class Set:
    """show, stage, order, player; `run(ms)` lets time pass in steps of 20 ms and keeps the levels seen."""

    def __init__(self):
        disk = MemoryDisk()
        disk.mkdir("shows")
        disk.mkdir("shows/a")
        self.show = Show(disk, "shows/a")
        for name in ("Key", "Fill"):
            self.show.rig.add("tint16", name)
        self.show.save_rig()
        self.stage = Stage(self.show)
        self.now = 0
        for name, (key, fill) in LOOKS.items():
            self.stage.dial("Key", level=key)
            self.stage.dial("Fill", level=fill)
            self.stage.step(0)
            self.stage.store(name, seconds=1)
        self.stage.go("A", 0)
        self.stage.step(0)
        self.stage.look_number = 0
        self.player = OrderPlayer(self.stage)
        self.order = self.player.order
        self.order.fill([self.show.looks.number(name) for name in LOOKS])
        self.seen = []

    def run(self, ms):
        for _ in range(ms // 20):
            self.now += 20
            self.player.step(self.stage.time)
            self.stage.step(self.now)
            self.seen.append(self.levels())

    def levels(self):
        return tuple(round(self.stage.value(f, "level"), 3) for f in self.show.rig.fixtures)

    def on(self):
        return self.order.name(self.player.current)


@pytest.fixture
def day():
    return Set()
