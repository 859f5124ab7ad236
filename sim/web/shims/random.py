"""Noise for the feed of that name, and the faults of lamps: CPython's generator, which sim/feeds.py and
sim/rdm_lamps.py ask for, is missing here."""


class Random:
    """A sequence that follows from a number: a 32-bit xorshift (Marsaglia 2003, 13, 17, 5)."""

    def __init__(self, seed):
        self._state = (seed * 2654435761 + 1) & 0xFFFFFFFF or 1

    def _next(self):
        x = self._state
        x ^= x << 13 & 0xFFFFFFFF
        x ^= x >> 17
        x ^= x << 5 & 0xFFFFFFFF
        self._state = x
        return x

    def random(self):
        """0.0 to just under 1."""
        return (self._next() >> 8) / (1 << 24)

    def randrange(self, first, end=None):
        """A whole number from first, or 0, to below the other."""
        if end is None:
            first, end = 0, first
        return first + self._next() % (end - first)

    def randbytes(self, count):
        """So many bytes."""
        return bytes([self._next() & 255 for _ in range(count)])
