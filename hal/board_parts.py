"""The parts of a board that are alike on every chip: hal.contract's Clock, Keys, Buzzer and Power. Made by make().

`machine` is imported where it is called, so that tests on a desktop can import this module.
"""

import time

from micropython import const

_SETTLE_MS = const(20)  # contacts bounce for 5 ms or so (common practice); a finger is slower than 20
_LOUD = const(32768)  # duty cycle of one half
_ONE_SHOT = const(0)  # Timer.ONE_SHOT of every port
# A word that a restart leaves alone: the mark, whether Power.restart asked for the restart, and how many there were.
RESTART_MARK = const(0x5E7)
_ASKED = const(1 << 8)
_COUNT = const(255)


class Clock:
    """ms() does not wrap as MicroPython's ticks do; it must be asked at least once in six days. Below 2**30, which it
    reaches after twelve days unless it is moved back, its times are no heap objects."""

    def __init__(self):
        self._ms = 0
        self._ticks = time.ticks_ms()

    def ms(self):
        now = time.ticks_ms()
        self._ms += time.ticks_diff(now, self._ticks)
        self._ticks = now
        return self._ms

    def back(self, ms):
        self._ms -= ms


class Keys:
    """Keys that close a pin to ground. names: bit n of down() is names[n]; pins: called without arguments, 0 while the
    key is down. A change counts at once; what the contact does in the 20 ms after it is bounce, and does not count.

    fell() is for the pins' interrupts: a key that went down and up again between two calls of down(), while the
    processor drew or wrote flash, is down in one of them."""

    def __init__(self, names, pins):
        self.names = names
        self._pins = pins
        self._down = 0
        self._settling = (1 << len(pins)) - 1  # keys that changed less than 20 ms ago
        self._since = [time.ticks_ms()] * len(pins)
        self._fell = bytearray(len(pins))  # 1: it went down since its last change; a byte each, as interrupts want it

    # Machine code on the chips.
    def down(self):
        now = time.ticks_ms()
        for n in range(len(self._pins)):
            bit = 1 << n
            pressed = 0 if self._pins[n]() else bit
            # Only while it settles does its time count: ticks_diff is wrong for what is six days old.
            if self._settling & bit and time.ticks_diff(now, self._since[n]) >= _SETTLE_MS:
                self._settling ^= bit
                self._fell[n] = 0  # bounce
            if self._fell[n] and not (self._settling | self._down) & bit:
                pressed = bit
            if pressed != self._down & bit and not self._settling & bit:
                self._down ^= bit
                self._settling |= bit
                self._since[n] = now
                self._fell[n] = 0
        return self._down

    def fell(self, pin):
        """A pin went low. Takes nothing from the heap."""
        self._fell[self._pins.index(pin)] = 1


class Buzzer:
    """pwm: machine.PWM, or None where there is no sounder; timer: a machine.Timer of its own, which ends the tone."""

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


class Power:
    """restarted: why the chip started, "watchdog" where it was the watchdog's doing; usb: pin that is high on USB
    power, or None: then USB is what gives power; measure: a function that reads the supply, or None; times, by:
    battery_mv() is measure() * times // by, and the product is below 2**30; word: its `value`, a whole number, outlives
    a restart, but not loss of power."""

    def __init__(self, restarted, usb, measure, times, by, word):
        self._usb, self._measure, self._times, self._by, self._word = usb, measure, times, by, word
        self._watchdog = None
        was = word.value if restarted != "power" and word.value >> 12 == RESTART_MARK else RESTART_MARK << 12
        self.restarted = "reset" if restarted == "watchdog" and was & _ASKED else restarted
        self.crashes = min(was & _COUNT, _COUNT - 1)
        word.value = RESTART_MARK << 12 | self.crashes + 1

    def battery_mv(self):
        return None if self._measure is None else self._measure() * self._times // self._by

    def usb(self):
        return self._usb is None or bool(self._usb.value())

    def watchdog(self, ms):
        import machine

        self._watchdog = machine.WDT(timeout=ms)

    def feed(self):
        if self._watchdog:
            self._watchdog.feed()

    def restart(self):
        import machine

        self._word.value |= _ASKED
        machine.reset()

    def calm(self):
        self.crashes = 0
        self._word.value = RESTART_MARK << 12 | 1
