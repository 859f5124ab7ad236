"""Mixtures of effects, looks, running order and curves on virtual time, and the flashes of the light that comes."""

import random

from firmware.light.effects.table import NAMES
from firmware.show import effect_settings
from firmware.show.effect_fields import ACTS, FADE, PARAMS
from firmware.show.running_order import FADE as STEP_FADE
from firmware.show.running_order import FOLLOW
from firmware.stage.running_order_player import OrderPlayer
from tests.day import flashes, glow
from tests.day.lit import TICK, Lit

KINDS = ("dim16", "dim", "tint16", "full16", "rgb", "rgbw16", "rgbww16")


class Mixture:
    """Some lamps with effects and perhaps a running order, drawn by a seed. curves: {uid: the curve that its trim
    says}."""

    def __init__(self, seed, order=None, kinds=None):
        """order: True or False; None: as the dice say."""
        self.dice = dice = random.Random(seed)
        self.lit = lit = Lit(*(kinds or [dice.choice(KINDS) for _ in range(dice.randint(2, 5))]))
        self.curves = {}
        for f in lit.fixtures:
            if dice.random() < 0.3:
                self.curves[f.uid] = dice.choice(["squared", "s"])
                f.trims = {"curve": {"squared": "square", "s": "s"}[self.curves[f.uid]]}
        lit.show.rig.changes += 1
        self.player = None
        self.look()
        for n in range(dice.randint(1, 4)):
            self.effect(n)
        if dice.random() < 0.5 if order is None else order:
            self._order()

    def look(self):
        """Dial some light."""
        for f in self.lit.fixtures:
            asked = {"level": self.dice.choice([0, 0.3, 0.6, 0.95, 1])}
            if f.personality.has("hue") and self.dice.random() < 0.6:
                asked.update(hue=self.dice.choice([0, 10, 120, 240, 350, self.dice.uniform(0, 359)]),
                             sat=self.dice.choice([0.0, 0.6, 1.0]))
            if f.personality.has("cct"):
                asked["cct"] = self.dice.choice([2700, 4300, 6500])
            self.lit.stage.dial(f, **asked)

    def effect(self, n):
        """Put an effect on some lamps, often the fastest that it goes."""
        dice = self.dice
        kind = dice.choice(NAMES)
        _acts, may, specs = effect_settings.kind(kind)
        effect = effect_settings.new(kind, [f.uid for f in self.lit.fixtures if dice.random() < 0.7], n + 1)
        if dice.random() < 0.7:
            effect[PARAMS] = [spec[2] if spec[1] == "ms" else spec[3] for spec in specs]
        else:
            effect[PARAMS] = [dice.randrange(spec[2], spec[3] + 1, spec[5]) for spec in specs]
        effect[ACTS], effect[FADE] = dice.randint(1, 7) & may or may, dice.choice([0, 200])
        try:
            self.lit.effects.start(effect, self.lit.now)
        except ValueError:  # none of the lamps can do it
            return

    def _order(self):
        for name in "ABC":
            self.look()
            self.lit.stage.store(name)
        self.player = OrderPlayer(self.lit.stage)
        self.player.order.fill([self.lit.show.looks.number(name) for name in "ABC"])
        self.player.order.set_loop(1)
        for step in self.player.order.steps:
            self.player.order.set(step, FOLLOW, 1)
            self.player.order.set(step, STEP_FADE, self.dice.choice([0, 100, 400, 1500]))
        self.player.next()

    def run(self, seconds, each=None):
        """-> frames. each: called before each tick."""
        frames, lit = [], self.lit
        for n in range(round(seconds * 1000 / TICK)):
            if each:
                each(n)
            lit.now += TICK
            if self.player:
                self.player.step(lit.stage.time)
            lit.stage.step(lit.now)
            frames.append(bytes(lit.stage.frame))
        return frames

    def worst(self, frames):
        """(flashes, where) of the worst second: each lamp by its own curve or each of the usual, and the sum."""
        found, sums = [], {}
        for f in self.lit.fixtures:
            own = self.curves.get(f.uid)  # the trim called "square" is drive ** 2: tests/light/test_curves.py
            for curve in glow.USUAL:
                law = own or curve
                for wheel in ("coloured", "level") if f.personality.has("sat") else ("coloured",):
                    lights = glow.rows(f, frames, law, wheel)
                    sums.setdefault((curve, wheel), []).append(lights)
                    found.append((flashes.worst_light(lights, 1000 // TICK), f.personality.id, law, wheel))
        for key, rows in sums.items():
            if len(rows) > 1:
                found.append((flashes.worst_light(glow.mean(rows), 1000 // TICK), "sum", *key))
        return max(found)
