"""The sources that list their universes on the network: ANSI E1.31-2018, universe discovery (4.3 and 8)."""

from micropython import const

from firmware.wire.e131 import text

_GONE_MS = const(25000)  # two intervals of 10 s and a little
_MOST_SOURCES = const(8)
_MOST_UNIVERSES = const(16)  # kept of a source


class Found:
    """`sources`: list of [cid, name, universes, ms when last heard]."""

    def __init__(self):
        self.sources = []

    def take(self, packet, now):
        """Take a discovery packet in. now: ms. Of a list of several pages the first is kept."""
        if packet.data[118]:
            return
        universes = [packet.listed(n) for n in range(min(packet.count, _MOST_UNIVERSES))]
        for found in self.sources:
            if packet.cid == found[0]:
                found[1:] = [text(packet.name), universes, now]
                return
        if len(self.sources) < _MOST_SOURCES:
            self.sources.append([bytes(packet.cid), text(packet.name), universes, now])

    def step(self, now):
        """Forget those that have fallen silent."""
        for found in self.sources:
            if now - found[3] > _GONE_MS:
                self.sources.remove(found)
                break  # the list has changed; the next step sees to others
