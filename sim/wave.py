"""Levels in time: from packets to edges, from edges to what a receiver hears, and to a VCD file.

An edge is (ns, level): from then on the line has that level. Before the first edge the line is idle: 1.
"""

from firmware.wire import dmx

BIT_NS = 4_000
_START_NS = BIT_NS // 2
_SAMPLES = [BIT_NS * n + BIT_NS // 2 for n in range(1, 11)]  # 8 data bits and 2 stop bits, each at its middle


def slot(start_ns, value, bit_ns=BIT_NS, stops=(1, 1)):
    """The edges of one slot, from its start bit on, on a line that was high. stops: the levels of its stop bits."""
    bits = [0] + [value >> n & 1 for n in range(8)] + list(stops)
    edges, level = [], 1
    for place, bit in enumerate(bits):
        if bit != level:
            edges.append((start_ns + place * bit_ns, bit))
            level = bit
    return edges


def packet(
    start_ns, slots, break_us=dmx.BREAK_US, mark_us=dmx.MARK_US, start_code=0, bit_ns=BIT_NS, gap_us=0
):
    """(edges, ns at the end) of a packet that starts with its break. slots: bytes-like, any length.
    gap_us: mark between slots."""
    edges = [(start_ns, 0), (start_ns + round(break_us * 1000), 1)]
    now = start_ns + round((break_us + mark_us) * 1000)
    for value in [start_code] + list(slots):
        edges += slot(now, value, bit_ns)
        now += 11 * bit_ns + round(gap_us * 1000)
    return edges, now


def vcd(edges, end_ns, stretch=1.0, name="dmx"):
    """A VCD file with one wire, at 100 ns: str. stretch: time made longer by this factor (see save_vcd)."""
    lines = ["$timescale 100 ns $end", "$scope module line $end", f"$var wire 1 ! {name} $end",
             "$upscope $end", "$enddefinitions $end"]
    start = edges[0][0] - 40_000 if edges else 0
    lines += ["#0", "1!"]
    for ns, level in edges:
        lines += [f"#{round((ns - start) * stretch / 100)}", f"{level}!"]
    lines.append(f"#{round((end_ns - start) * stretch / 100)}")
    return "\n".join(lines) + "\n"


class Ear:
    """The twin of the chip's receiving program (hal/rp2): samples edges as that does, and hands a Receiver what it
    hears. tests/wire holds the two to the same result."""

    def __init__(self, receiver):
        self._receiver = receiver
        self._edges = []
        self._broke = None  # ns at which the last break began

    def hear(self, edges):
        """Add edges in order of time, and go on as far as they decide."""
        self._edges += edges
        while self._edges:
            if self._edges[0][1] == 1:
                self._edges.pop(0)
            elif not self._next():
                break

    def _next(self):
        """Take in one slot or low stretch that starts at the first edge. False: later edges decide."""
        start = self._edges[0][0]
        if self._edges[-1][0] < start + _SAMPLES[-1] and self._edges[-1][1] == 0:
            return False
        if len(self._edges) > 1 and self._edges[1][0] <= start + _START_NS:
            self._drop(self._edges[1][0])  # not low in the middle of its start bit: noise
            return True
        bits = self._sample(start)
        end = start + _SAMPLES[-1]
        if bits >> 9:
            self._slot(bits)
            self._drop(end)
            return True
        return self._low(start, end, bits)

    def _sample(self, start):
        bits, place, level = 0, 0, 0
        for number, offset in enumerate(_SAMPLES):
            while place < len(self._edges) and self._edges[place][0] <= start + offset:
                level = self._edges[place][1]
                place += 1
            bits |= level << number
        return bits

    def _slot(self, bits):
        if bits >> 8 == 3:
            self._receiver.put(bits & 255)
        else:
            self._receiver.bad()

    def _low(self, start, end, bits):
        """The line was low at the second stop bit: measure how long it stays low, and the mark after it."""
        later = [edge for edge in self._edges if edge[0] > end]
        if len(later) < 2:
            return False
        if bits:
            start += BIT_NS * (bits.bit_length() + 1)
        rise, fall = later[0][0], later[1][0]
        span = 1 << 29 if self._broke is None else (start - self._broke) // 100
        self._receiver.low((rise - start) // 100, (fall - rise) // 100, span, not bits)
        if rise - start >= dmx.BREAK_MIN_RX_US * 1000:
            self._broke = start
        self._drop(rise)
        return True

    def _drop(self, end):
        """Forget edges up to `end`; the receiver now waits, idle, for the next fall."""
        while self._edges and self._edges[0][0] <= end:
            self._edges.pop(0)
