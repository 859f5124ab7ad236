"""Knob and keys -> gestures: turn, push-and-turn, tap, hold. Read by the app once a step; integers only.

A tap is told when the key comes up; a hold once, when the key has been down for HOLD_MS, and then there is no tap.
Turning while the knob is pushed makes it a push-and-turn: then neither tap nor hold follows.
"""

from micropython import const

HOLD_MS = const(600)
PUSH = const(0)  # bit numbers of hal's Keys.down()
BACK = const(1)
LOOK = const(2)
BLACK = const(3)
_KEYS = const(8)


class Gestures:
    """What the last poll saw: `turned`, `push_turned` (detents), `tapped`, `held`, `released` (bit masks)."""

    def __init__(self, knob, keys):
        self._knob = knob
        self._keys = keys
        self._since = [0] * _KEYS
        self._used = 0  # keys whose press has already had its effect
        self.down = 0
        self.turned = self.push_turned = self.tapped = self.held = self.released = 0

    def poll(self, now):
        """Read the hardware at `now` ms. Returns True if anything happened."""
        turns, down, was = self._knob.turns(), self._keys.down(), self.down
        self.turned = self.push_turned = self.tapped = self.held = self.released = 0
        if down & 1 and turns:
            self.push_turned = turns
            self._used |= 1
        else:
            self.turned = turns
        for n in range(_KEYS):
            bit = 1 << n
            if down & bit and not was & bit:
                self._since[n] = now
            elif down & bit and not self._used & bit and now - self._since[n] >= HOLD_MS:
                self.held |= bit
                self._used |= bit
            elif was & bit and not down & bit:
                self.released |= bit
                if not self._used & bit:
                    self.tapped |= bit
                self._used &= ~bit
        self.down = down
        return bool(turns or self.tapped or self.held or self.released)
