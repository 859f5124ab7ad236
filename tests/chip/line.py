"""The packets on a line of an emulated chip, taken off its edges as they come."""

from tests.wire.heard import heard

BREAK_NS = 88_000  # the least that a receiver takes for one (ANSI E1.11)


class Packets:
    """edges: the list that Emulated.watch() fills, which is emptied here. packets: [(ns at the break's start, slots)]
    of the good ones, as far as take() has come."""

    def __init__(self, edges):
        self.packets = []
        self.bad = 0  # packets that a receiver did not take
        self._edges = edges
        self._shape = self._slots = None  # the packet before: most are the same

    def take(self):
        """Go through what came since: the packets that are whole by now."""
        edges = self._edges
        starts = [n for n in range(len(edges) - 2) if not edges[n][1] and edges[n + 1][0] - edges[n][0] >= BREAK_NS]
        for start, end in zip(starts, starts[1:]):
            self._one(edges[start : end + 3])  # with the next break, at which the receiver takes what it has
        if starts:
            del edges[: starts[-1]]
        return self.packets

    def _one(self, edges):
        begun = edges[0][0]
        shape = [ns - begun for ns, _ in edges]
        if shape != self._shape:
            found, _ = heard([(ns, level) for ns, (_, level) in zip(shape, edges)])
            self._shape, self._slots = shape, found[0] if found else None
        if self._slots is None:
            self.bad += 1
        else:
            self.packets.append((begun, self._slots))

    def since(self, ns):
        """The packets whose break began then or later."""
        packets, first = self.take(), len(self.packets)
        while first and packets[first - 1][0] >= ns:
            first -= 1
        return packets[first:]

    def before(self, ns):
        """The slots of the last packet that began before; None: there is none."""
        return next((slots for begun, slots in reversed(self.take()) if begun < ns), None)

    def change(self, ns):
        """ns at the break of the first packet since then that is not as the last before it; None: there is none."""
        last = self.before(ns)
        return next((begun for begun, slots in self.since(ns) if slots != last), None)
