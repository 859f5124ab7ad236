"""Random waveforms for the receiver, legal and illegal, made from ANSI E1.11's receiver limits.

Limits (E1.11, receiver timing, from memory): break >= 88 µs, mark after break >= 8 µs, break to break >= 1,196 µs,
bit 4 µs +- 2 %, 1 to 512 slots after the start code. Near a limit, illegal ones stay `clear` µs away: the chip's
receiver times a low stretch to within 0.4 µs at each end.
"""

from sim import wave

CLEAR_US = 0.9
ILLEGAL = ("break", "mark", "spacing", "stop bit", "second stop bit", "slow", "fast", "too many", "none",
           "broken into", "start code")


def _packet(dice, start, slots, **other):
    timing = {"break_us": dice.choice((88, 92, 176, dice.uniform(88, 1000))),
              "mark_us": dice.choice((8, 12, dice.uniform(8, 300))), "bit_ns": dice.choice((4000, 3925, 4075))}
    return wave.packet(start, slots, **{**timing, **other})


def _slots(dice, least=24, most=60):
    return bytes(dice.choice((0, 255, dice.randrange(256))) for _ in range(dice.randint(least, most)))


def _idle(dice):
    return round(1000 * dice.choice((0, dice.uniform(0, 500))))


def legal(dice):
    """(edges, slots): a packet that a receiver must accept, and the break after it."""
    few = dice.random() < 0.1
    slots = _slots(dice, 1, 23) if few else bytes(dice.randrange(256) for _ in range(512)) \
        if dice.random() < 0.01 else _slots(dice)
    edges, end = _packet(dice, 1_000_000, slots, gap_us=dice.choice((0, 0, dice.uniform(0, 60))))
    end = max(end + _idle(dice), 1_000_000 + 1_196_000)
    return edges + _tail(dice, end), slots


def illegal(dice, kind):
    """(edges, slots): a packet with one fault, and a legal break after it."""
    slots, more = _slots(dice), {}
    if kind == "break":
        more["break_us"] = dice.uniform(45, 88 - CLEAR_US)
    elif kind == "mark":
        more["mark_us"] = dice.uniform(1, 8 - CLEAR_US)
    elif kind == "spacing":
        slots = _slots(dice, 1, 18)
        more = {"break_us": dice.uniform(88, 120), "mark_us": dice.uniform(8, 30), "bit_ns": 4000}
    elif kind in ("slow", "fast"):
        slots = bytes(dice.randrange(128, 256) for _ in range(40))
        more["bit_ns"] = round(dice.uniform(4700, 6000) if kind == "slow" else dice.uniform(2500, 3500))
    elif kind == "too many":
        slots = bytes(dice.randrange(256) for _ in range(dice.randint(513, 600)))
    elif kind == "none":
        slots = b""
    elif kind == "start code":
        more["start_code"] = dice.randrange(1, 256)
    edges, end = _packet(dice, 1_000_000, slots, **more)
    if kind in ("stop bit", "second stop bit", "broken into"):
        edges, end, slots = _broken(dice, slots, kind)
    idle = {"spacing": dice.uniform(0, 10_000), "broken into": 0}.get(kind, _idle(dice))
    return edges + _tail(dice, end + round(idle)), slots


def _broken(dice, slots, kind):
    """A packet in which one slot goes wrong: a stop bit is low, or the next break begins in its middle."""
    edges, now = _packet(dice, 1_000_000, slots[:-1], bit_ns=4000)
    if kind == "broken into":
        spoilt = wave.slot(now, 0xFF, stops=(1, 1))[:2]
        return edges + spoilt, now + dice.randint(7_000, 35_000), slots
    stops = (0, 1) if kind == "stop bit" else (1, 0)
    edges += wave.slot(now, slots[-1] | 1, stops=stops)
    if edges[-1][1] == 0:
        edges.append((now + 44_000, 1))
    return edges, now + 60_000, slots


def _tail(dice, end):
    """The next break, its mark and the fall of its start code, which end what came before."""
    return wave.packet(end, b"\x55", dice.uniform(89, 200), dice.uniform(9, 50))[0]


def many(dice, count):
    """count waveforms: (kind or None where legal, edges, slots), half of them legal."""
    for n in range(count):
        kind = ILLEGAL[n // 2 % len(ILLEGAL)] if n % 2 else None
        yield (kind, *(illegal(dice, kind) if kind else legal(dice)))
