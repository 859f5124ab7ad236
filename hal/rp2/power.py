"""hal.contract.Power on the RP2."""

import machine
from machine import mem32
from micropython import const

_SCRATCH = {"rp2040": 0x40058010, "rp2350": 0x400D8010}  # WATCHDOG: SCRATCH1; SCRATCH0 is hal/rp2/memory's
_ASKED = const(0x5E7)
_FULL_MV = const(3300)  # of the converter


class Power:
    """chip: "rp2040" or "rp2350"; adc: pin that measures the supply or None; divider: its ratio; usb: pin that
    is high on USB power, or None: then USB is what gives power."""

    def __init__(self, chip, adc=None, divider=1, usb=None):
        self._scratch = _SCRATCH[chip]
        self._adc = None if adc is None else machine.ADC(machine.Pin(adc))
        self._full = int(_FULL_MV * divider)
        self._usb = None if usb is None else machine.Pin(usb, machine.Pin.IN)
        self._dog = None
        self.restarted = self._why()

    def _why(self):
        """Both kinds of restart are the watchdog's doing; restart() leaves its mark."""
        asked = mem32[self._scratch] == _ASKED
        mem32[self._scratch] = 0
        if machine.reset_cause() != machine.WDT_RESET:
            return "power"
        return "reset" if asked else "watchdog"

    def battery_mv(self):
        return None if self._adc is None else self._adc.read_u16() * self._full // 65535

    def usb(self):
        return self._usb is None or bool(self._usb.value())

    def watchdog(self, ms):
        self._dog = machine.WDT(timeout=ms)

    def feed(self):
        if self._dog:
            self._dog.feed()

    def restart(self):
        mem32[self._scratch] = _ASKED
        machine.reset()
