"""hal.contract.Power on the RP2."""

import machine
from micropython import const

ASKED = const(0x5E7)


class Power:
    """restarted: why; mark: address of a word that a restart leaves alone, for ASKED before one that was asked for;
    adc: machine.ADC on the supply or None; full: mV at its highest; usb: pin that is high on USB power, or None: then
    USB is what gives power."""

    def __init__(self, restarted, mark, adc=None, full=0, usb=None):
        self.restarted = restarted
        self._mark = mark
        self._adc, self._full = adc, full
        self._usb = usb
        self._dog = None

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
        machine.mem32[self._mark] = ASKED
        machine.reset()
