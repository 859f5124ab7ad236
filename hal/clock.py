"""hal.contract.Clock on MicroPython's ticks, which wrap; this does not. Used by every chip's board."""

import time


class Clock:
    """ms() must be asked at least once in six days."""

    def __init__(self):
        self._ms = 0
        self._ticks = time.ticks_ms()

    def ms(self):
        now = time.ticks_ms()
        self._ms += time.ticks_diff(now, self._ticks)
        self._ticks = now
        return self._ms
