"""hal.contract.Power on the ESP32."""

import machine

_WHY = {machine.PWRON_RESET: "power", machine.WDT_RESET: "watchdog"}


class Power:
    """adc: pin that measures the supply or None; divider: its ratio; usb: pin that is high on USB power, or None:
    then USB is what gives power."""

    def __init__(self, adc=None, divider=1, usb=None):
        self._adc = None
        if adc is not None:
            self._adc = machine.ADC(machine.Pin(adc), atten=machine.ADC.ATTN_11DB)
        self._divider = int(divider * 1000)
        self._usb = None if usb is None else machine.Pin(usb, machine.Pin.IN)
        self._dog = None
        self.restarted = _WHY.get(machine.reset_cause(), "reset")

    def battery_mv(self):
        """By the chip's own calibration."""
        return None if self._adc is None else self._adc.read_uv() // 1000 * self._divider // 1000

    def usb(self):
        return self._usb is None or bool(self._usb.value())

    def watchdog(self, ms):
        self._dog = machine.WDT(timeout=ms)

    def feed(self):
        if self._dog:
            self._dog.feed()

    def restart(self):
        machine.reset()
