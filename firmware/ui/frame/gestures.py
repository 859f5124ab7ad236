"""Knob and keys -> gestures: turn, push-and-turn, tap, hold. Read by the app once a step; integers only.

A tap is told when the key comes up; a hold once, when the key has been down for HOLD_MS, and then there is no tap.
Turning while the knob is pushed makes it a push-and-turn: then neither tap nor hold follows.
The foot switch acts when it goes down: `foot` is True in that poll; no other gesture sees it.
`pace` is how many steps a detent is worth now: 1 whenever the knob is turned slowly, so that the fine step is never
lost; more, the shorter the time between detents.
"""

from micropython import const

HOLD_MS = const(600)
PUSH = const(0)  # bit numbers of hal's Keys.down()
BACK = const(1)
LOOK = const(2)
BLACK = const(3)
_FOOT = const(4)  # where the board has a foot switch
_KEYS = const(8)
_SLOW_MS = const(34)  # between detents: from here on up, one detent is one step
_FAST_MS = const(18)
_MOST = (1, 4, 8)  # pace of the fastest turning, by the setting "quick"


class Gestures:
    """What the last poll saw: `turned`, `push_turned` (detents), `tapped`, `held`, `released` (bit masks).
    kit: the settings (firmware/show/device_settings.py): turn, per, quick."""

    def __init__(self, knob, keys, settings):
        self._knob = knob
        self._keys = keys
        self._settings = settings
        self._since = [0] * _KEYS
        self._used = 0  # keys whose press has already had its effect
        self._part = 0  # detents that are not yet a step
        self._last = 0  # when the knob last moved
        self._run = 0  # steps turned fast one after another, with their sign
        self.down = 0
        self.foot = False
        self._trod = 0
        self.pace = 1
        self.turned = self.push_turned = self.tapped = self.held = self.released = 0

    def poll(self, now):
        """Read the hardware at `now` ms. Returns True if anything happened."""
        turns, down, was = self._turns(now), self._keys.down(), self.down
        self.turned = self.push_turned = self.tapped = self.held = self.released = 0
        trod = down >> _FOOT & 1
        self.foot = trod > self._trod
        self._trod = trod
        down &= ~(1 << _FOOT)
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
        return bool(turns or self.tapped or self.held or self.released or self.foot)

    def swallow(self):
        """What is down now had its effect: neither tap nor hold follows."""
        self._used |= self.down
        self.turned = self.push_turned = self.tapped = self.held = 0

    def _turns(self, now):
        """Steps turned since the last poll, with the sign of the setting; sets the pace."""
        detents = self._knob.turns() * self._settings["turn"]
        if not detents:
            return 0
        gap = (now - self._last) // abs(detents)  # one poll may hold several detents
        self._last = now
        if gap >= _SLOW_MS or self._run * detents < 0:
            self._run = 0
        if self._part * detents < 0:
            self._part = 0
        self._run += detents
        most = _MOST[self._settings["quick"]]
        if gap >= _SLOW_MS or abs(self._run) < 3:  # the first detents of a turn are always fine
            self.pace = 1
        elif gap >= _FAST_MS:
            self.pace = 1 + most // 4
        else:
            self.pace = most
        self._part += detents
        steps = abs(self._part) // self._settings["per"] * (1 if self._part > 0 else -1)
        self._part -= steps * self._settings["per"]
        return steps
