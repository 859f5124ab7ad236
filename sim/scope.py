"""What an oscilloscope would show of the line: the times of a packet from its edges, and whether ANSI E1.11 allows
them.

Called by the page's server a few times a second. It works on edges alone, and knows nothing of what was to be sent.
"""

# What a transmitter may do. Source: ANSI E1.11-2008 (R2018), table 6; times in µs.
BREAK_MIN = 92
MARK_MIN = 12
MARK_MAX = 1_000_000
BIT_MIN, BIT_MAX = 3.92, 4.08
PERIOD_MIN, PERIOD_MAX = 1204, 1_000_000
SLOTS_MAX = 512  # a number of its own: this module knows nothing of the firmware that it measures

_SHOWN_SLOTS = 4


def packets(edges):
    """Split (ns, level) edges into packets: lists of edges that each begin with the fall of a break (a low of at least
    88 µs, the least that a receiver must accept: ANSI E1.11). The last packet may be incomplete."""
    edges = list(edges)
    starts = [
        i for i in range(len(edges) - 1) if edges[i][1] == 0 and edges[i + 1][0] - edges[i][0] >= 88_000
    ]
    return [edges[a:b] for a, b in zip(starts, starts[1:] + [len(edges)], strict=False)]


def measure(edges, periods=()):
    """Measure the first packet in `edges` -> {"rows": [[what, measured, standard, inside]], "wave", "sum"}. periods: µs
    from break to break of the packets before, for the refresh rate."""
    found = packets(edges)
    if not found or len(found[0]) < 4:  # less than a break, a mark and a start bit
        return {"rows": [], "wave": None, "sum": "silent"}
    packet = found[0]
    ns = [edge[0] for edge in packet]
    low, mark, bit = (ns[1] - ns[0]) / 1000, (ns[2] - ns[1]) / 1000, _bit(ns[2:])
    slots = _slots(ns[2:], bit)
    rows = [
        ["Break", f"{low:.1f} µs", f"at least {BREAK_MIN} µs", low >= BREAK_MIN],
        ["Mark after break", f"{mark:.1f} µs", f"{MARK_MIN} µs to 1 s", MARK_MIN <= mark < MARK_MAX],
        ["One bit", f"{bit:.3f} µs", f"{BIT_MIN} to {BIT_MAX} µs", BIT_MIN <= bit <= BIT_MAX],
        ["Slots with start code", str(slots), f"up to {SLOTS_MAX + 1}", slots <= SLOTS_MAX + 1],
    ]
    if periods:
        rows += _pace(periods)
    return {"rows": rows, "wave": _wave(packet, low, mark, bit), "sum": _sum(slots, periods)}


def _pace(periods):
    fits = all(PERIOD_MIN <= period <= PERIOD_MAX for period in periods)
    mean = sum(periods) / len(periods)
    return [
        ["Break to break", f"{mean:.0f} µs", f"{PERIOD_MIN} µs to 1 s", fits],
        ["Most off the mean", f"{max(abs(period - mean) for period in periods):.1f} µs", "no limit", True],
    ]


def _sum(slots, periods):
    rate = f"{1e6 * len(periods) / sum(periods):.2f} packets a second, " if periods else ""
    return f"{rate}{slots - 1} slots"


def _bit(ns):
    """Mean bit in µs: gaps between edges inside slots are whole numbers of bits (long marks left out)."""
    gaps = [b - a for a, b in zip(ns, ns[1:], strict=False) if b - a < 44_000]
    bits = sum(round(gap / 4000) for gap in gaps)
    return sum(gaps) / bits / 1000 if bits else 0.0


def _slots(ns, bit):
    """How many slots the edges hold: one starts at the first fall, and at the first 10.5 bits after it."""
    count, until = 0, -1.0
    for i in range(0, len(ns), 2):
        if ns[i] >= until:
            count += 1
            until = ns[i] + 10.5 * (bit or 4) * 1000
    return count


def _wave(packet, low, mark, bit):
    """The first edges in µs from the fall of the break, to draw: edges, named stretches and the end."""
    start = packet[0][0]
    first = low + mark
    end = first + _SHOWN_SLOTS * 11 * (bit or 4)
    marks = [[0, low, f"break {low:.0f} µs"], [low, first, f"mark {mark:.0f}"]]
    names = ["start code"] + [f"slot {n}" for n in range(1, _SHOWN_SLOTS)]
    for i, name in enumerate(names):
        at = first + 11 * i * (bit or 4)
        marks.append([at, at + 11 * (bit or 4), name])
    edges = [[round((ns - start) / 1000, 2), level] for ns, level in packet if ns - start <= end * 1000]
    return {"edges": edges, "marks": marks, "end": end}
