"""Noise for the feed of that name: CPython's generator, which sim/feeds.py asks for, is missing here."""


class Random:
    """A sequence of bytes that follows from a number: a 32-bit xorshift (Marsaglia 2003, 13, 17, 5)."""

    def __init__(self, seed):
        self._state = (seed * 2654435761 + 1) & 0xFFFFFFFF or 1

    def randbytes(self, count):
        """So many bytes."""
        made = bytearray(count)
        x = self._state
        for n in range(count):
            x ^= x << 13 & 0xFFFFFFFF
            x ^= x >> 17
            x ^= x << 5 & 0xFFFFFFFF
            made[n] = x & 255
        self._state = x
        return bytes(made)
