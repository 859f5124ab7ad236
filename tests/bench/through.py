"""From the end of a packet that comes in to the packet that carries its values out: virtual time, the whole device."""

import random

from firmware.wire import dmx
from sim import Bench
from sim.play import STEP_MS

_PACKETS = 500
_PERIODS = (22_716, 23_000, 25_000, 40_000)  # µs: the most of 512 slots, and slower desks


def figures():
    """worst_ms: from the end of the incoming packet to the start of the outgoing one with its values: what the pocket
    adds to a wire that itself takes 22.7 ms for a packet. worst_whole_ms: to the end of that packet's last slot.
    passed_over: packets that a newer one replaced before the line was free."""
    starts, missing, n = [], 0, 0
    for period in _PERIODS:
        found, lost = delays(period, random.Random(period))
        starts += found
        missing += lost
        n += _PACKETS
    starts.sort()
    whole = dmx.length_us(512) / 1000
    return {
        "worst_ms": round(starts[-1], 2), "p50_ms": round(starts[len(starts) // 2], 2),
        "worst_whole_ms": round(starts[-1] + whole, 2), "passed_over": missing, "n": n,
        "note": f"at most the packet that is on the line ({whole:.1f} ms), which is never torn, and one turn of the "
                f"loop ({STEP_MS} ms); goal 23",
    }


def delays(period, dice):
    """ms from each packet's end to the start of the packet that carries it, and how many never went out."""
    with Bench() as b:
        b.run(0.2)
        sent, seen, at = {}, {}, b.clock.us() + dice.randrange(period)
        warm = at + 3_000_000  # the feed fades in
        while len(sent) < _PACKETS:
            while at <= b.clock.us() + STEP_MS * 1000:
                n = len(sent) + 1 if at > warm else 0
                b.input.receive(bytes(508) + n.to_bytes(4, "big"), us=at)
                if n:
                    sent[n] = at
                at += period
            b.step()
            note(b, seen)
        for _ in range(20):
            b.step()
            note(b, seen)
    return [(seen[n] - us) / 1000 for n, us in sent.items() if n in seen], len([n for n in sent if n not in seen])


def note(b, seen):
    """When each value first went out: the start of its packet."""
    for start, slots in b.line.packets[-4:]:
        n = int.from_bytes(slots[508:], "big")
        seen[n] = min(seen.get(n, start), start)
