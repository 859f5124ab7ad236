"""The line in: of random waveforms made from ANSI E1.11's receiver limits, which are accepted and which refused."""

import random

from hal.receive import Receiver
from sim import wave
from tests.wire import waveforms
from tests.wire.chip import Chip

MANY, ON_CHIP = 10_000, 220
NOTE = ("all by the desktop's twin (sim/wave.Ear); chip_*: a part of them by hal/rp2's program, ring and parser on "
        "rp2040py's PIO and DMA, which tests/wire holds equal to the twin; none on a board")


def twin(edges):
    """What the desktop's receiver hands up of a waveform: bytes or None."""
    receiver = Receiver()
    wave.Ear(receiver).hear(edges)
    packet = receiver.take(0)
    return None if packet is None else bytes(packet)


def on_chip(chip, ear, edges):
    """The same by the chip's receiver."""
    ear.receiver = Receiver()
    chip.play(5, [(ns + chip.ns, level) for ns, level in edges])
    ear.listen(True)
    end, found = chip.ns + edges[-1][0] + 5_000_000, None
    while chip.ns < end:
        chip.run(2_000)
        packet = ear.take()
        found = found if packet is None else bytes(packet)
    ear.listen(False)
    return found


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
    found = dict(zip(names, judged(MANY, 1, twin), strict=True))
    with Chip() as chip:
        ear = chip.module("ear").Ear(4, 5)
        chip.play(5, [])
        part = judged(ON_CHIP, 2, lambda edges: on_chip(chip, ear, edges))
    return found | dict(zip(("chip_" + name for name in names), part, strict=True)) | {"note": NOTE}
