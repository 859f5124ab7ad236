"""How long the device's own battery lasts, from the drain that was measured. Made by the app when it runs on one.

Percentages are of one lithium cell at the device's small load (common practice, no source); the hours follow from how
they fell in the last half hour, so they hold for the load that there was.
"""

from array import array

from micropython import const

EVERY_MS = const(60000)  # between two samples
_KEPT = const(30)
_LEAST = const(5)  # samples before hours are said
_LOW = const(20)  # per cent: the first warning,
_LAST = const(8)  # and the last
_SOON_MIN = const(30)  # or that few minutes left
# mV of a cell and per mille of its charge, falling.
_CELL = ((4150, 1000), (4060, 900), (3980, 800), (3920, 700), (3870, 600), (3820, 500), (3790, 400), (3770, 300),
         (3740, 200), (3680, 100), (3450, 50), (3000, 0))


class Battery:
    """`low`: True once the last warning was given: what can be saved should be, and the screen be dark."""

    def __init__(self):
        self.low = False
        self._warned = 0  # 1: early, 2: last
        self._samples = array("H")  # per mille, one each EVERY_MS
        self._due = 0

    def step(self, now, mv):
        """A look at the battery. now: ms; mv: its voltage -> a warning in words, or "". Call at least each minute."""
        if now < self._due:
            return ""
        self._due = now + EVERY_MS
        self._samples.append(charge(mv))
        if len(self._samples) > _KEPT:
            self._samples = self._samples[1:]
        return self._warn()

    def per_cent(self):
        """Charge, 0..100."""
        return self._samples[-1] // 10 if self._samples else 0

    def minutes(self):
        """Minutes left at the drain of the last half hour; None while that is not known, or it is not drained."""
        n = len(self._samples)
        if n < _LEAST:
            return None
        # The slope of the straight line through all samples: one voltage that jumps does not matter much.
        mean = sum(self._samples) / n
        top = sum([(k - (n - 1) / 2) * (self._samples[k] - mean) for k in range(n)])
        drain = -12 * top / (n * n * n - n)  # per mille a sample
        return int(self._samples[-1] / drain) if drain > 0.05 else None

    def words(self):
        """"64 %, 3.2 h left"."""
        left = self.minutes()
        if left is None:
            return "%d %%" % self.per_cent()
        return "%d %%, %.1f h left" % (self.per_cent(), left / 60) if left >= 60 else (
            "%d %%, %d min left" % (self.per_cent(), left))

    def _warn(self):
        left = self.minutes()
        if self.per_cent() <= _LAST and self._warned < 2:
            self._warned, self.low = 2, True
            return "Battery nearly empty: plug in. The light goes on to the last"
        if (self.per_cent() <= _LOW or left is not None and left <= _SOON_MIN) and not self._warned:
            self._warned = 1
            return "Battery %s: plug in soon" % self.words()
        return ""


def charge(mv):
    """Charge of a lithium cell in per mille, from its voltage in mV."""
    if mv >= _CELL[0][0]:
        return 1000
    for n in range(1, len(_CELL)):
        if mv >= _CELL[n][0]:
            (high, full), (low, less) = _CELL[n - 1], _CELL[n]
            return less + (full - less) * (mv - low) // (high - low)
    return 0
