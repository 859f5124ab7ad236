"""Keeps what the effects do under three flashes a second, all lamps together. Called by stage/effects.py in the tick.

WCAG 2.x, success criterion 2.3.1 (general flash): a flash is a pair of opposing changes of 10 % or more of the most
relative luminance, where the darker is below 0.80; no more than three in any one second. Here all lamps have one
direction at a time: while it is "up", each may fall by less than 10 % from the highest level it has had since; while it
is "down", each may rise by less than that. So no lamp, and no sum or mean of lamps however weighted, sees more changes
than the direction has; and it changes at most five times in a second, which leaves six changes: three flashes. The last
of the five is kept for the return to the light of the look. Levels are relative to each lamp's full. That changes above
0.80 do not count is not made use of: mixed with darker lamps they may.
"""

from array import array

from micropython import const

TENTH = const(6500)  # a little under 10 % of 65536
_SECOND = const(1045)  # ms: one second and two frames on the line
_CHANGES = const(5)
_REMEMBERED = const(32)


class Limiter:
    """`on`: False lets all through and only counts. One for the whole stage."""

    def __init__(self, places):
        """places: how many lamps can have an effect."""
        self.on = True
        self._up = 0
        self._extreme = array("i", [0] * places)
        self._last = array("i", [0] * places)
        self._changed = array("i", [-_SECOND] * _REMEMBERED)  # ms of the last changes of direction, a ring
        self._at = 0

    def changes(self, now):
        """How often the direction changed in the last second; two changes are a flash."""
        n = 0
        for at in self._changed:
            if now - at < _SECOND:
                n += 1
        return n

    def pass_on(self, k, want, now):
        """What a lamp may do of what its effects want: its level less that of the look, -65536..65536. k: its place."""
        up, extreme = self._up, self._extreme[k]
        if (want > extreme) if up else (want < extreme):
            self._extreme[k] = want
        elif abs(want - extreme) > TENTH:
            if not self.on or self._may_change(abs(want) > abs(self._last[k]), now):
                self._change(now)
                self._extreme[k] = want
            else:
                want = extreme - TENTH if up else extreme + TENTH
        self._last[k] = want
        return want

    def _may_change(self, away, now):
        """away: the change leads away from the light of the look. Then one change must be left to return."""
        return self.changes(now) < (_CHANGES - 1 if away else _CHANGES)

    def _change(self, now):
        self._up = 1 - self._up
        self._at = (self._at + 1) % _REMEMBERED
        self._changed[self._at] = now
        extreme, last = self._extreme, self._last
        for k in range(len(last)):
            extreme[k] = last[k]
