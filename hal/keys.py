"""hal.contract.Keys on pins that a key closes to ground. Used by every chip's board."""

import time

from micropython import const

_SETTLE_MS = const(20)  # contacts bounce for 5 ms or so (common practice); a finger is slower than 20


class Keys:
    """names: bit n of down() is names[n]; pins: called without arguments, 0 while the key is down. A change
    counts at once, and what the contact does in the 20 ms after it does not."""

    def __init__(self, names, pins):
        self.names = names
        self._pins = pins
        self._down = 0
        self._since = [time.ticks_ms()] * len(pins)

    def down(self):
        now = time.ticks_ms()
        for n in range(len(self._pins)):
            bit = 1 << n
            held = 0 if self._pins[n]() else bit
            if held != self._down & bit and time.ticks_diff(now, self._since[n]) >= _SETTLE_MS:
                self._down ^= bit
                self._since[n] = now
        return self._down
