"""hal.contract's Clock, Keys (on pins that a key closes to ground) and Buzzer (on a PWM pin and a timer that ends the
tone). Used by every chip's board.
"""

import time

from micropython import const

_SETTLE_MS = const(20)  # contacts bounce for 5 ms or so (common practice); a finger is slower than 20
_LOUD = const(32768)  # half of the time on
_ONE_SHOT = const(0)  # Timer.ONE_SHOT of every port


class Clock:
    """ms() does not wrap as MicroPython's ticks do; it must be asked at least once in six days."""

    def __init__(self):
        self._ms = 0
        self._ticks = time.ticks_ms()

    def ms(self):
        now = time.ticks_ms()
        self._ms += time.ticks_diff(now, self._ticks)
        self._ticks = now
        return self._ms


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


class Buzzer:
    """pwm: machine.PWM or None where there is no sounder; timer: machine.Timer that no one else uses."""

    def __init__(self, pwm=None, timer=None):
        self._pwm, self._timer = pwm, timer
        self._end = self._silence  # bound once: the call in tone() must not allocate

    def tone(self, hz, ms):
        if self._pwm is None:
            return
        self._pwm.freq(hz)
        self._pwm.duty_u16(_LOUD)
        self._timer.init(mode=_ONE_SHOT, period=ms, callback=self._end)

    def _silence(self, _timer):
        self._pwm.duty_u16(0)
