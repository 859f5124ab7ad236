"""Makes gestures of what the knob and the keys do: turn, push and turn, tap, hold. Made by the app's loop, which polls
it once a step. Integers only.

A tap comes when the key comes up. A hold comes once, when the key has been down for HOLD_MS; then there is no tap. A
turn while the knob is pushed makes it push and turn; then neither a tap nor a hold of the knob follows. The foot switch
acts when it goes down: `foot` is True in that poll, and no other gesture sees it.
"""

from micropython import const

HOLD_MS = const(600)
PUSH = const(0)  # bit numbers of hal's Keys.down()
BACK = const(1)
LOOK = const(2)
BLACK = const(3)
_FOOT = const(4)  # where the board has a foot switch
_KEYS = const(8)
_SLOW_MS = const(34)  # between detents: at this and more, the pace is 1;
_FAST_MS = const(18)  # at less than this it is the fastest
_QUICKEST = (1, 4, 8)  # the fastest pace, by the setting "quick"


class Gestures:
    """What the last poll saw: `turned` and `push_turned` in steps, with their sign; `tapped`, `held` and `released` as
    masks of keys; `foot`. `down`: a mask of the keys that are down. `pace`: how many steps of a value a step of the
    knob is worth: 1 whenever the knob is turned slowly, so that the fine step is never lost, and more, the shorter the
    time between detents.

    settings: those of the device (firmware/show/device_settings.py), of which turn, per and quick count here.
    """

    def __init__(self, knob, keys, settings):
        self._knob = knob
        self._keys = keys
        self._settings = settings
        self._since = [0] * _KEYS  # ms: when each key went down
        self._spent = 0  # a mask of the keys that are down and have had their effect
        self._detents = 0  # turned, but not yet a whole step
        self._last = 0  # ms: when the knob last moved
        self._fast = 0  # detents turned fast one after the other, with their sign
        self.down = 0
        self.foot = False
        self._foot_down = 0
        self._down = 0  # the keys that were down in the last poll, the foot switch too
        self._saw = False  # the last poll left something to be cleared
        self.pace = 1
        self.turned = self.push_turned = self.tapped = self.held = self.released = 0

    # Machine code on the chips.
    def poll(self, now):
        """Read the knob and the keys -> True if there was a gesture. now: ms."""
        turns = self._turns(now)  # one by one: three at once would be a tuple on the heap, in each step
        down = self._keys.down()
        was = self.down
        if not (turns or down or self._down):  # the usual case, many times a second
            if self._saw:
                self._saw = False
                self.foot = False
                self.turned = self.push_turned = self.tapped = self.held = self.released = 0
            return False
        self._down, self._saw = down, True
        self.turned = self.push_turned = self.tapped = self.held = self.released = 0
        trod = down >> _FOOT & 1
        self.foot = trod > self._foot_down
        self._foot_down = trod
        down &= ~(1 << _FOOT)
        if down & 1 and turns:
            self.push_turned = turns
            self._spent |= 1
        else:
            self.turned = turns
        for n in range(_KEYS):
            bit = 1 << n
            if down & bit and not was & bit:
                self._since[n] = now
            elif down & bit and not self._spent & bit and now - self._since[n] >= HOLD_MS:
                self.held |= bit
                self._spent |= bit
            elif was & bit and not down & bit:
                self.released |= bit
                if not self._spent & bit:
                    self.tapped |= bit
                self._spent &= ~bit
        self.down = down
        return bool(turns or self.tapped or self.held or self.released or self.foot)

    def swallow(self):
        """Drop the gestures of this poll; of the keys that are down now neither tap nor hold follows."""
        self._spent |= self.down
        self.turned = self.push_turned = self.tapped = self.held = 0

    # Machine code on the chips.
    def _turns(self, now):
        """The steps turned since the last poll, in the direction of the setting; also sets the pace."""
        detents = self._knob.turns()
        if not detents:
            return 0
        detents *= self._settings["turn"]
        gap = (now - self._last) // abs(detents)  # one poll may hold several detents
        self._last = now
        if gap >= _SLOW_MS or self._fast * detents < 0:
            self._fast = 0
        if self._detents * detents < 0:
            self._detents = 0
        self._fast += detents
        most = _QUICKEST[self._settings["quick"]]
        if gap >= _SLOW_MS or abs(self._fast) < 3:  # the first detents are always fine
            self.pace = 1
        elif gap >= _FAST_MS:
            self.pace = 1 + most // 4
        else:
            self.pace = most
        self._detents += detents
        steps = abs(self._detents) // self._settings["per"] * (1 if self._detents > 0 else -1)
        self._detents -= steps * self._settings["per"]
        return steps
