"""Slots of nobody that a look holds raw (a grabbed feed): their values and the fade between them. Made by the stage
when such a look is recalled. They are the first universe's, as a feed is.

Neither master nor blackout moves them: nobody knows what they do.
"""

from array import array

from firmware.universe import SLOTS

try:
    from firmware.stage.feed_loops_viper import mix
except (ImportError, SyntaxError, NameError):
    from firmware.stage.feed_loops import mix

_NO_WAYS = array("H")
_ONE = 65536


class RawSlots:
    """The raw slots of one stage."""

    def __init__(self, rig):
        self._a = bytearray(SLOTS)
        self._b = bytearray(SLOTS)
        self._start = self._length = 0
        self._share = _ONE
        self._again = True
        self.lay(rig)

    def lay(self, rig):
        """The rig changed: slots that have an owner now are its."""
        self._free = bytearray([0 if owner else 1 for owner in rig.used()[:SLOTS]])
        self._again = True

    def begin(self, runs, start, length):
        """Move to the runs [first slot, value, value ...] of a look; slots that it does not name go to 0. start,
        length: ms of the stage's time; length None: by hand, see `at`."""
        mix(self._a, self._b, self._a, self._share, _NO_WAYS, self._free)
        for i in range(SLOTS):
            self._b[i] = 0
        for run in runs:
            first = run[0] - 1
            for k in range(1, len(run)):
                if 0 <= first + k - 1 < SLOTS:
                    self._b[first + k - 1] = run[k]
        self._start, self._length = start, length
        self._share, self._again = (_ONE if length == 0 else 0), True

    def at(self, share):
        """Where a move by hand is, 0..65536."""
        if self._length is None:
            self._share, self._again = share, True

    def pack(self, out):
        """Append the runs that it has or goes to, for state_record.py: first slot (2 bytes), count, values."""
        i = 0
        while i < SLOTS:
            n = 0
            while i + n < SLOTS and n < 255 and self._free[i + n] and self._b[i + n]:
                n += 1
            if n:
                out.extend(bytes((i + 1 & 255, i + 1 >> 8, n)))
                out.extend(self._b[i:i + n])
            i += n or 1

    def left(self, now):
        """ms until the move ends."""
        return max(0, self._start + self._length - now) if self._length and self._share < _ONE else 0

    def rest(self, frame, held):
        """Write the slots into a frame as they will be when the move has ended; held: as they are."""
        mix(self._a, self._b, frame, _ONE if self._length and not held else self._share, _NO_WAYS, self._free)

    def step(self, now, frame):
        """Write the slots into the frame. -> True where they may have changed."""
        if self._length and self._share < _ONE:
            done = (now - self._start) << 10
            self._share = _ONE if now - self._start >= self._length else max(0, done // self._length << 6)
        elif not self._again:
            return False
        self._again = False
        mix(self._a, self._b, frame, self._share, _NO_WAYS, self._free)
        return True
