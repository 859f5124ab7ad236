"""The line out of an RP2040: read from the edges that hal/rp2 makes on rp2040py's PIO and DMA."""

import random

from sim import wave
from tests.wire.chip import Chip

SECONDS = 1.0
NOTE = ("edges of rp2040py's PIO and DMA at 125 MHz, 512 random slots, default timing, a new frame at random moments; "
        "cpu_share is what the processor executed between two frames; not measured on a board")


def edges_and_work():
    """(edges, cycles the processor spent while packets went out, the frames that were sent)."""
    dice = random.Random(1)
    with Chip() as chip:
        module = chip.module("line")
        edges = chip.watch(0)
        line = module.Line(0, 0, 2, chip.block(chip.module("line_records").SIZE))
        frames = []
        before = chip.mcu.core.cycles
        while chip.ns < SECONDS * 1e9:
            frames.append(bytes(dice.randrange(256) for _ in range(512)))
            line.send(frames[-1])
            chip.run(dice.uniform(5_000, 60_000))
        return [e for e in edges if e[0]], chip.mcu.core.cycles - before, frames


def figures():
    """refresh_hz, break_us, mark_us: the worst packet's; bit_error_percent: the worst edge in a slot against the 4 µs
    grid, as a share of a bit; slot_us: mean; jitter_us: longest less shortest break to break."""
    edges, cycles, frames = edges_and_work()
    falls = [(a, b) for (a, low), (b, _) in zip(edges, edges[1:], strict=False) if not low and b - a >= 88_000]
    starts = [a for a, _ in falls]
    periods = [b - a for a, b in zip(starts, starts[1:], strict=False)]
    marks, slots, worst, torn = [], [], 0, 0
    for (start, rise), following in zip(falls, starts[1:], strict=False):
        inside = [e for e in edges if rise < e[0] < following]
        first = inside[0][0]
        marks.append(first - rise)
        slots.append((following - first) / 513)
        worst = max([worst, *(abs((ns - first + 2_000) % 4_000 - 2_000) for ns, _ in inside)])
        torn += not any(inside == wave.packet(start, frame, (rise - start) / 1000, (first - rise) / 1000)[0][2:]
                        for frame in frames)
    return {
        "refresh_hz": round(1e9 / max(periods), 3), "break_us": min(b - a for a, b in falls) / 1000,
        "mark_us": min(marks) / 1000, "bit_error_percent": worst / 40,
        "slot_us": round(sum(slots) / len(slots) / 1000, 4),
        "jitter_us": (max(periods) - min(periods)) / 1000, "cpu_share": cycles / (SECONDS * 125e6),
        "packets": len(falls), "torn": torn, "note": NOTE,
    }
