"""Edges of RDM on a line, read and made by the tests alone."""

from sim import wave

spoil = None  # changes the edges of answers, where a test sets it


def answer(start_ns, data, led, break_us=184, mark_us=16):
    """The edges of an answer. led: a break leads it."""
    if led:
        edges = wave.packet(start_ns, data[1:], break_us, mark_us, data[0])[0]
    else:
        edges, now = [], start_ns
        for value in data:
            edges += wave.slot(now, value)
            now += 44_000
    return spoil(edges) if spoil else edges


def packets(edges):
    """Packets between (ns, level) edges: [(ns at the break's start, its ns, the mark's ns, bytes, ns at the end of the
    last stop bit)]. Each slot is sampled in the middle of its bits; one without stop bits ends its packet."""
    edges = [e for n, e in enumerate(edges) if n or not e[1]]
    falls = [(ns, following) for (ns, level), (following, _) in zip(edges, edges[1:], strict=False) if not level]
    breaks = [(a, b) for a, b in falls if b - a >= 88_000]
    out = []
    for n, (start, rise) in enumerate(breaks):
        end = breaks[n + 1][0] if n + 1 < len(breaks) else edges[-1][0] + 1
        inside = [e for e in edges if rise <= e[0] < end]
        slots, mark, last = _slots(inside)
        out.append((start, rise - start, mark - rise if mark else 0, slots, last))
    return out


def _slots(edges):
    slots, first, place, free = bytearray(), None, 0, 0
    for ns, level in edges:
        if level or ns < free:
            continue
        first = ns if first is None else first
        value = 0
        for bit in range(9):
            at = ns + 4_000 * (bit + 1) + 2_000
            while place + 1 < len(edges) and edges[place + 1][0] <= at:
                place += 1
            value |= edges[place][1] << bit
        if not value >> 8:
            break
        slots.append(value & 255)
        free = ns + 43_000
    return bytes(slots), first, (ns_end(edges, first, len(slots)) if first else None)


def ns_end(edges, first, count):
    """When the last stop bit of slots that follow each other without a gap ends."""
    return first + 44_000 * count
