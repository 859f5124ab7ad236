"""From a knob detent to the first changed slot on the line, in virtual time: 1,000 detents at random moments."""

import random

from sim import Bench
from sim.play import STEP_MS

_DETENTS = 1000


def figures():
    """worst_ms, p50_ms, n. Full packets of 512 slots at the highest rate, the demo show, random lamps and values."""
    dice = random.Random(5)
    waits = []
    with Bench() as b:
        b.run(0.2)
        while len(waits) < _DETENTS:
            if dice.random() < 0.2:
                b.push_turn(dice.choice((-1, 1)))
            b.run(dice.randrange(25) * STEP_MS / 1000)
            wait = one(b, dice)
            if wait is not None:
                waits.append(wait)
    waits.sort()
    return {"clock": "virtual", "worst_ms": round(waits[-1], 2), "p50_ms": round(waits[len(waits) // 2], 2),
            "n": len(waits),
            "note": "virtual: computing takes no time. What the firmware does on an emulated chip: docs/CHIP.md"}


def one(b, dice):
    """Turn one detent somewhere inside a step -> ms until a changed slot is whole on the line; None: nothing changed
    (a lamp at its end)."""
    early_us = dice.randrange(STEP_MS * 1000)  # the detent comes this long before the loop next looks
    before = bytes(b.app.stage.frame)
    since = b.clock.us() + STEP_MS * 1000 - early_us
    b.board.knob.move(dice.choice((-1, 1)))
    b.step()
    slots = [i + 1 for i, (x, y) in enumerate(zip(before, b.app.stage.frame)) if x != y]
    if not slots:
        return None
    b.run(0.08)
    return (min(b.line.change_us(s, since, b.app.stage.frame[s - 1]) for s in slots) - since) / 1000
