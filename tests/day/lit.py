"""A stage with lamps and its effects on virtual time, for the tests of effects."""


import importlib

from firmware.light.effects import table
from firmware.show import effect_fields, effect_settings
from firmware.show.effect_fields import FADE, PARAMS
from firmware.show.show import Show
from firmware.stage.effects import Effects
from firmware.stage.stage import Stage
from sim.disk import MemoryDisk

TICK = 20


class Lit:
    """A stage with lamps and its effects on virtual time."""

    def __init__(self, *kinds):
        disk = MemoryDisk()
        disk.mkdir("shows")
        disk.mkdir("shows/a")
        self.show = Show(disk, "shows/a")
        for n, kind in enumerate(kinds):
            self.show.rig.add(kind, "Lamp %d" % (n + 1))
        self.show.save_rig()
        self.stage = Stage(self.show)
        self.fixtures = self.show.rig.fixtures
        self.now = 0
        for f in self.fixtures:
            self.stage.dial(f, level=0.5, cct=4300)
        self.stage.step(0)
        self.effects = self.stage.effects = Effects(self.stage)

    def start(self, kind, *params, **settings):
        """Put an effect on all lamps at once -> it."""
        effect = effect_settings.new(kind, [f.uid for f in self.fixtures])
        effect[FADE] = 0
        if params:
            effect[PARAMS] = list(params)
        for key, value in settings.items():
            effect[getattr(effect_fields, key.upper())] = value
        self.effects.start(effect, self.now)
        return effect

    def run(self, seconds, tick=TICK):
        """-> the frames."""
        frames = []
        for _ in range(round(seconds * 1000 / tick)):
            self.now += tick
            self.stage.step(self.now)
            frames.append(bytes(self.stage.frame))
        return frames


def levels(frames, slot):
    """A 16-bit slot pair over time, 0..1."""
    return [(frame[slot] << 8 | frame[slot + 1]) / 65535 for frame in frames]


def module(kind):
    """The module of a kind of effect."""
    return importlib.import_module(table.find(kind))
