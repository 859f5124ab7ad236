"""How long the device's own battery will last, from how fast it was drained. Made by the app when the device runs on
one.

The charge is that of one lithium cell under the device's small load (common practice, no source). The time follows from
how the charge fell in the last half hour, so it is right for the load that there was.
"""

from array import array

from micropython import const

EVERY_MS = const(60000)  # between two samples
_MAX_SAMPLES = const(30)
_MIN_SAMPLES = const(5)  # fewer give no time
_LOW = const(20)  # per cent at the first warning,
_SOON_MIN = const(30)  # or so few minutes left
_EMPTY = const(8)  # per cent at the last warning
_NONE = const(0)  # warnings
_FIRST = const(1)
_LAST = const(2)
# Voltage of a cell in mV and its charge in per mille, falling.
_CELL = ((4150, 1000), (4060, 900), (3980, 800), (3920, 700), (3870, 600), (3820, 500), (3790, 400), (3770, 300),
         (3740, 200), (3680, 100), (3450, 50), (3000, 0))


class Battery:
    """The battery as it is drained. `low`: the last warning was given: what can be saved should be, and the screen
    sleep."""

    def __init__(self):
        self.low = False
        self._warned = _NONE  # the last warning that was given
        self._samples = array("H")  # per mille, one each EVERY_MS
        self._due = 0

    def step(self, now, mv):
        """Take a sample once a minute -> a warning in words, or "". now: ms; mv: the battery's voltage in mV. To be
        called at least each minute."""
        if now < self._due:
            return ""
        self._due = now + EVERY_MS
        self._samples.append(charge(mv))
        if len(self._samples) > _MAX_SAMPLES:
            self._samples = self._samples[1:]
        return self._warn()

    def per_cent(self):
        """Charge, 0..100."""
        return self._samples[-1] // 10 if self._samples else 0

    def minutes(self):
        """Minutes left at the drain of the last half hour; None where that is not known yet, or nothing is drained."""
        n = len(self._samples)
        if n < _MIN_SAMPLES:
            return None
        # The slope of the straight line through all samples: one voltage that jumps does not matter much.
        mean = sum(self._samples) / n
        top = sum([(k - (n - 1) / 2) * (self._samples[k] - mean) for k in range(n)])
        drain = -12 * top / (n * n * n - n)  # per mille a sample
        return int(self._samples[-1] / drain) if drain > 0.05 else None

    def words(self):
        """Charge and time left, in words: "64 %, 3.2 h left"."""
        left = self.minutes()
        if left is None:
            return "%d %%" % self.per_cent()
        return "%d %%, %.1f h left" % (self.per_cent(), left / 60) if left >= 60 else (
            "%d %%, %d min left" % (self.per_cent(), left))

    def _warn(self):
        left = self.minutes()
        if self.per_cent() <= _EMPTY and self._warned != _LAST:
            self._warned, self.low = _LAST, True
            return "Battery nearly empty: plug in. The light goes on to the last"
        if (self.per_cent() <= _LOW or left is not None and left <= _SOON_MIN) and self._warned == _NONE:
            self._warned = _FIRST
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
