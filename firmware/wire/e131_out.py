"""What this device sends of one sACN universe: ANSI E1.31-2018. The caller puts `packet` on the network when due().

A frame that changes is sent at once, at most 44 times a second (6.6.2: no more than ANSI E1.11 allows); one that stays
three times, and then every 900 ms (6.6.1: 800 to 1,000). A source that stops says so in three packets (6.2.6).
"""

import struct

from micropython import const

from firmware.universe import SLOTS
from firmware.wire.e131 import DISCOVERY_UNIVERSE, HEAD, ROOT, SIZE, TERMINATED, group

_LEAST_MS = const(23)  # 44 a second are 22.7 ms apart
_ALIVE_MS = const(900)
_REPEATS = const(3)
_DISCOVERY_MS = const(10000)  # E131_UNIVERSE_DISCOVERY_INTERVAL
_PRIORITY, _SEQUENCE, _OPTIONS = const(108), const(111), const(112)  # octets


class Sender:
    """One universe out. `packet`: the newest, `address`: where it goes; `listing`, `listing_address`: of the universe
    discovery, which one sender has for all of a device; `sent`: packets so far; `cid`."""

    def __init__(self, cid, name, universe, priority, now, others=()):
        """cid: 16 bytes that no other device has; name: of the source; now: ms; others: universes that the device sends
        beside this one."""
        self.cid = cid
        self.packet = data_packet(cid, name, universe, priority)
        self.address = group(universe)
        self.listing = discovery_packet(cid, name, sorted(set(others) | {universe}))
        self.listing_address = group(DISCOVERY_UNIVERSE)
        self.sent = 0
        self._slots = memoryview(self.packet)[HEAD:]
        self._left = _REPEATS  # packets until only the keep-alive goes out
        self._sent_ms = now - _ALIVE_MS
        self._listed_ms = now - _DISCOVERY_MS

    def due(self, now, slots):
        """True where `packet` is to be sent now, with these 512 slots. now: ms."""
        since = now - self._sent_ms
        if since < _LEAST_MS:
            return False
        if self._slots != slots:
            self._slots[:] = slots
            self._left = _REPEATS
        elif not self._left and since < _ALIVE_MS:
            return False
        self._left = max(0, self._left - 1)
        self._sent_ms = now
        self._count()
        return True

    def weigh(self, priority):
        """Go on with another priority, 0..200."""
        self.packet[_PRIORITY] = priority

    def listing_due(self, now):
        """True where `listing` is to be sent now."""
        if now - self._listed_ms < _DISCOVERY_MS:
            return False
        self._listed_ms = now
        return True

    def move_back(self, by):
        """Move all times back."""
        self._sent_ms -= by
        self._listed_ms -= by

    def end(self):
        """The last packets, one after the other in `packet`: a generator."""
        self.packet[_OPTIONS] = TERMINATED
        for _ in range(_REPEATS):
            self._count()
            yield self.packet

    def _count(self):
        self.sent += 1
        self.packet[_SEQUENCE] = self.packet[_SEQUENCE] + 1 & 255


def data_packet(cid, name, universe, priority):
    """A data packet with 512 slots at 0: bytearray (table 4-1). universe: 1..63999; priority: 0..200."""
    out = _begun(SIZE, 4, cid, name)
    struct.pack_into(">BHBBH", out, 108, priority, 0, 0, 0, universe)  # no synchronization
    struct.pack_into(">HBBHHH", out, 115, _length(SIZE - 115), 2, 0xA1, 0, 1, SLOTS + 1)
    return out


def discovery_packet(cid, name, universes):
    """A universe discovery packet of one page: bytearray (table 8-1). universes: up to 512, rising."""
    size = 120 + 2 * len(universes)
    out = _begun(size, 8, cid, name)
    struct.pack_into(">HI", out, 112, _length(size - 112), 1)
    for n, universe in enumerate(universes):
        struct.pack_into(">H", out, 120 + 2 * n, universe)
    return out


def _begun(size, vector, cid, name):
    """A packet with its root layer, and its framing layer up to the source's name."""
    out = bytearray(size)
    out[:16] = ROOT
    struct.pack_into(">HI", out, 16, _length(size - 16), vector)
    out[22:38] = cid
    struct.pack_into(">HI", out, 38, _length(size - 38), 2)
    letters = name.encode()
    end = min(63, len(letters))
    while end < len(letters) and letters[end] & 0xC0 == 0x80:  # never a part of a letter
        end -= 1
    out[44:44 + end] = letters[:end]
    return out


def _length(octets):
    """Flags and length of a PDU."""
    return 0x7000 | octets
