"""Chance that comes again: what the effects' runs are made from. Used by every kind of effect and by their player."""

from micropython import const

SLOT_MS = const(20)  # between two values of a run


class Dice:
    """Random numbers that come again: Wichmann and Hill's generator (AS 183, 1982), whole numbers below 2**30."""

    def __init__(self, seed):
        """seed: 1..9999."""
        self._a = seed
        self._b = seed * 3 % 30307
        self._c = seed * 7 % 30323
        for _ in range(8):  # neighbouring seeds begin alike
            self.roll()

    def roll(self):
        """0..32767, each as likely."""
        self._a = self._a * 171 % 30269
        self._b = self._b * 172 % 30307
        self._c = self._c * 170 % 30323
        return (self._a * 32768 // 30269 + self._b * 32768 // 30307 + self._c * 32768 // 30323) & 32767

    def between(self, low, high):
        """A whole number low..high, at most 32,768 of them."""
        return low + (self.roll() * (high - low + 1) >> 15)

    def slots(self, ms):
        """Slots of a time of half to twice ms, mean 1.25, at least one."""
        return max(1, ms // 4 * (32768 + (self.roll() + self.roll()) * 3 // 2) // 16384 // SLOT_MS)
