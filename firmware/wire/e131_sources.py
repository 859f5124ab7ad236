"""The sources of one sACN universe, and the frame that they make together: ANSI E1.31-2018.

* Priority: of the sources that are there, those with the highest count; those of equal priority are merged, the highest
  value of each slot taking precedence (6.2.3, and 6.2.3.2 for one of several ways to resolve it).
* Sequence: a packet whose number is 0 to 19 behind the last one of its source came late, or twice (6.7.2).
* A source is gone 2.5 s after its last packet (6.7.1), or at once where it says that it stops (6.2.6).
* Preview data never makes light (6.2.6), and only start code 0 does.
"""

from micropython import const

from firmware.universe import SLOTS
from firmware.wire.e131 import LOST_MS, text

try:
    from firmware.wire.e131_merge_viper import highest
except (ImportError, SyntaxError, NameError):  # a port without native code; CPython knows no ptr8
    from firmware.wire.e131_merge import highest

_MOST = const(4)  # sources that are kept, which the standard leaves to a receiver (6.2.3.3)
_LATE = const(20)


class Source:
    """One source: cid, its name, priority, slots with `count` of them, `heard`: ms of its last packet, `sequence`."""

    def __init__(self, packet):
        self.cid = bytes(packet.cid)
        self.name = text(packet.name)
        self.slots = bytearray(SLOTS)
        self.sequence = self.priority = self.count = self.heard = 0


class Sources:
    """Those of a universe. `frame`: what they make, 512 slots, `view` of it as many as they send; `sources`: list of
    Source, `top`: the priority that counts, -1 where none is there. `switched`: who makes the frame has changed, and
    whoever reads that sets it False. `counts`: packets {why: number}."""

    def __init__(self, universe, own_cid=b""):
        """own_cid: of the packets that this device sends itself, which never come back in."""
        self.universe = universe
        self.frame = bytearray(SLOTS)
        self.view = memoryview(self.frame)[:0]
        self.sources = []
        self.top = -1
        self.switched = False
        self.counts = {"good": 0, "other": 0, "late": 0, "preview": 0, "alternate": 0, "surplus": 0}
        self._own = own_cid

    def take(self, packet, now):
        """Take a data packet in. now: ms -> True where `frame` is new."""
        why = self._refused(packet)
        if why:
            self.counts[why] += 1
            return False
        source = self._find(packet.cid)
        if source is None:
            source = None if packet.terminated else self._add(packet)
            if source is None:
                return False
        elif -_LATE < (packet.sequence - source.sequence + 128 & 255) - 128 <= 0:
            self.counts["late"] += 1
            return False
        self.counts["good"] += 1
        source.sequence = packet.sequence
        if packet.terminated:
            return self._drop(source)
        source.heard = now
        source.slots[:] = packet.slots
        for n in range(packet.count, source.count):  # it sends fewer than before
            source.slots[n] = 0
        source.count = packet.count
        return self._weigh(source, packet.priority)

    def step(self, now):
        """Drop the sources that have fallen silent. now: ms -> True where `frame` is new."""
        fresh = False
        for source in self.sources:
            if now - source.heard > LOST_MS:
                fresh = self._drop(source) or fresh
                break  # the list has changed; the next step sees to others
        return fresh

    def makes(self, source):
        """True where a source has a part in the frame."""
        return source.priority == self.top

    # --- inside ---

    def _refused(self, packet):
        if packet.universe != self.universe or packet.cid == self._own:
            return "other"
        if packet.preview:
            return "preview"
        return "alternate" if packet.start else ""

    def _find(self, cid):
        for source in self.sources:
            if cid == source.cid:
                return source
        return None

    def _add(self, packet):
        """A new source: Source, or None where there are too many that count as much."""
        if len(self.sources) >= _MOST:
            lowest = self.sources[0]
            for source in self.sources:
                if source.priority < lowest.priority:
                    lowest = source
            if lowest.priority >= packet.priority:
                self.counts["surplus"] += 1
                return None
            self.sources.remove(lowest)
        source = Source(packet)
        source.priority = -1  # it has no part in the frame yet
        self.sources.append(source)
        return source

    def _weigh(self, source, priority):
        """A source has sent with a priority -> True where `frame` is new."""
        if source.priority != priority:
            before, source.priority = source.priority, priority
            if len(self.sources) > 1 and self.top >= 0 and (priority >= self.top or before == self.top):
                self.switched = True
            self._set_top()
        if priority != self.top and not self.switched:
            return False
        self._make()
        return True

    def _drop(self, source):
        """A source is gone -> True where `frame` is new: what the last one sent stays."""
        self.sources.remove(source)
        had_part = self.makes(source)
        self._set_top()
        if not had_part or not self.sources:
            return False
        self.switched = True
        self._make()
        return True

    def _set_top(self):
        self.top = -1
        for source in self.sources:
            self.top = max(self.top, source.priority)

    def _make(self):
        count, first = 0, True
        for source in self.sources:
            if source.priority != self.top:
                continue
            count = max(count, source.count)
            if first:
                self.frame[:] = source.slots
                first = False
            else:
                highest(self.frame, source.slots, SLOTS)
        if len(self.view) != count:
            self.view = memoryview(self.frame)[:count]
