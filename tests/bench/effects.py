"""Cost of each effect in the tick on the VM; the worst rate of flashing with the limit on, of all effects together and
of mixtures with looks, a running order and curves, by a counter of its own."""

import random

from firmware.light.effects.table import NAMES
from firmware.show import effect_settings
from firmware.show.effect_fields import FADE, LEVEL, PARAMS
from tests.day import flashes
from tests.day.lit import Lit, levels
from tests.day.mixtures import Mixture
from tests.vm import runner

_LAMPS, _SECONDS, _RUNS, _TICK_MS = 6, 60, 5, 20
_MIXTURES = 30
_CHIP_LOOP_US = 4.8  # the same plain loop on the emulated RP2040 at 125 MHz


def figures():
    """us: of the part of a tick that an effect takes, on six lamps, on the unix VM. worst_flash_hz: as WCAG 2.3.1
    counts, the worst of every lamp, their mean and random weighted sums, for dark, half and bright looks."""
    said = dict(line.split() for line in runner.run("tests/day/vm_effects.py", heap="1m").splitlines()
                if line.strip() and not line.startswith("lock"))
    loop = float(said.pop("loop"))
    us = {name: round(float(value), 1) for name, value in said.items()}
    factor = _CHIP_LOOP_US / loop
    return {
        "us": us,
        "rp2040_ms_about": {name: round(value * factor / 1000, 1) for name, value in us.items()},
        "worst_flash_hz": worst(True),
        "worst_flash_hz_without_limit": worst(False),
        "worst_flash_hz_light": worst_light(True),
        "worst_flash_hz_light_without_limit": worst_light(False),
        "mixtures": _MIXTURES, "mixture_s": _SECONDS,
        "note": f"{_LAMPS} lamps; rp2040_ms_about scales by a plain loop ({loop:.3f} µs here, 4.8 µs on the emulated "
                "chip): an estimate, not measured on a chip",
    }


def worst(limit):
    """Flashes in the worst second."""
    most = 0
    for run in range(_RUNS):
        dice = random.Random(run)
        lit = Lit(*["dim16"] * _LAMPS)
        lit.effects.keep_limit(limit)
        for f in lit.fixtures:
            lit.stage.dial(f, level=run / _RUNS)
        for n, kind in enumerate(NAMES):
            _acts, may, specs = effect_settings.kind(kind)
            if may & LEVEL:
                uids = [f.uid for f in lit.fixtures if dice.random() < 0.7] or [1]
                effect = effect_settings.new(kind, uids, 10 * run + n + 1)
                effect[PARAMS] = [spec[2] if spec[1] == "ms" else spec[3] for spec in specs]
                effect[FADE] = 0
                lit.effects.start(effect, 0)
        frames = lit.run(_SECONDS, _TICK_MS)
        rows = [levels(frames, 2 * n) for n in range(_LAMPS)]
        for weights in [[1] * _LAMPS] + [[dice.random() ** 3 for _ in rows] for _ in range(10)]:
            rows.append([sum(w * r[n] for w, r in zip(weights, rows, strict=False)) / sum(weights)
                         for n in range(len(frames))])
        most = max([most] + [flashes.worst(row, 1000 // _TICK_MS) for row in rows])
    return most


def worst_light(limit):
    """Flashes, general or red, in the worst second of mixtures: in light, each lamp and the sum, by the lamp's own
    curve or each of the usual ones."""
    most = 0
    for seed in range(_MIXTURES):
        mixture = Mixture(seed)
        mixture.lit.effects.keep_limit(limit)
        most = max(most, mixture.worst(mixture.run(_SECONDS))[0])
    return most
