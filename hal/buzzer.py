"""hal.contract.Buzzer on a PWM pin and a timer that ends the tone. Used by every chip's board."""

from micropython import const

_LOUD = const(32768)  # half of the time on
_ONE_SHOT = const(0)  # Timer.ONE_SHOT of every port


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
