"""The line in: of random waveforms made from ANSI E1.11's receiver limits, which are accepted and which refused."""

import random

from tests.wire import waveforms
from tests.wire.chip import Chip
from tests.wire.hearing import Chips, twin

MANY, ON_CHIP = 10_000, 220
NOTE = ("all by the desktop's twin (sim/wave.Ear); chip_*: a part of them by hal/rp2's program, ring and parser on "
        "rp2040py's PIO and DMA, which tests/wire holds equal to the twin; none on a board")


def judged(count, seed, hear):
    """(legal, accepted with every slot right, illegal, refused)."""
    legal = accepted = illegal = refused = 0
    for kind, edges, slots in waveforms.many(random.Random(seed), count):
        found = hear(edges)
        if kind is None:
            legal += 1
            accepted += found == slots
        else:
            illegal += 1
            refused += found is None
    return legal, accepted, illegal, refused


def figures():
    """Counts of waveforms; see tests/wire/waveforms.py for what is legal and what is wrong with the others."""
    names = ("legal", "legal_accepted", "illegal", "illegal_refused")
    found = dict(zip(names, judged(MANY, 1, lambda edges: twin(edges)[0]), strict=True))
    with Chip() as chip:
        chips = Chips(chip)
        part = judged(ON_CHIP, 2, lambda edges: chips.hear(edges)[0])
    return found | dict(zip(("chip_" + name for name in names), part, strict=True)) | {"note": NOTE}
