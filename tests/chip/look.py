"""What a line's edges say: packets, and the figures of ANSI E1.11. And a hand on the emulated knob."""

from tests.wire.heard import heard


def spaced(edges):
    """ns at which each break starts."""
    return [a for (a, low), (b, _) in zip(edges, edges[1:], strict=False) if not low and b - a >= 88_000]


def packets(edges):
    """[(ns at the start of the break, slots)] of the good packets."""
    starts = spaced(edges)
    first = next((n for n, e in enumerate(edges) if starts and e[0] == starts[0]), 0)
    found, _counts = heard(edges[first:])
    return list(zip(starts, found, strict=False))


def timing(edges):
    """break_us, mark_us (shortest), bit_error_percent (worst edge against the 4 µs grid), refresh_hz (slowest),
    jitter_us (longest less shortest break to break)."""
    starts = spaced(edges)
    breaks, marks, worst = [], [], 0
    place = 0
    for start, following in zip(starts, starts[1:], strict=False):
        while edges[place][0] < start:
            place += 1
        rise, first = edges[place + 1][0], edges[place + 2][0]
        breaks.append(rise - start)
        marks.append(first - rise)
        inside = place + 2
        while edges[inside][0] < following:
            worst = max(worst, abs((edges[inside][0] - first + 2_000) % 4_000 - 2_000))
            inside += 1
    periods = [b - a for a, b in zip(starts, starts[1:], strict=False)]
    return {"break_us": min(breaks) / 1000, "mark_us": min(marks) / 1000, "bit_error_percent": worst / 40,
            "refresh_hz": 1e9 / max(periods), "jitter_us": (max(periods) - min(periods)) / 1000}


def knob_turn(chip, a, b, detents, ns=0):
    """Turn a knob by detents, 5 ms a quarter step, `ns` from now."""
    for pin in (a, b):
        chip.drive(pin, 1)
    for _ in range(abs(detents)):
        for pin, level in ((a, 0), (b, 0), (a, 1), (b, 1)) if detents > 0 else ((b, 0), (a, 0), (b, 1), (a, 1)):
            chip.drive(pin, level, ns)
            ns += 5_000_000
