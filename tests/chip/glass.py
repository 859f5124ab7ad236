"""What stands on an emulated board's panel: the bytes of its bus through the emulators of sim/panels."""

from sim.panels import sh1106, ssd1306, st7789

_PWM = 0x40050000
_DRIVERS = {"ssd1306": ssd1306.Screen, "sh1106": sh1106.Screen}


class Glass:
    """The panel of a board file, hung on a chip. screen: the emulator in sim/panels, up to date after look()."""

    def __init__(self, chip, panel):
        self._chip, self._panel, self._read = chip, panel, 0
        self._i2c = panel["bus"] == "i2c"
        size = panel["width"], panel["height"]
        self.screen = _DRIVERS[panel["driver"]](*size) if panel["bits"] == 1 else st7789.Screen(*size)
        if self._i2c:
            chip.i2c_device(panel["address"], panel["id"], panel["pins"]["sda"], panel["pins"]["scl"])

    def look(self):
        """Take in what was sent since. Returns [ns] of the packets (I2C) or bytes (SPI) that were new."""
        if "bl" in self._panel["pins"]:
            self.screen.pwm.duty_u16(self._light(self._panel["pins"]["bl"]))
        return self._packets() if self._i2c else self._bytes()

    def _light(self, pin):
        """Duty of the slice that has a pin, 0..65535 (data sheet 4.5.2 and 4.5.3, from memory: slice n is pins 2n and
        2n + 1; its compare values at 0x0c, its top at 0x10)."""
        at = _PWM + 0x14 * (pin >> 1 & 7)
        compare = self._chip.core.read(at + 0x0C) >> 16 * (pin & 1) & 0xFFFF
        return min(65535, 65536 * compare // (self._chip.core.read(at + 0x10) + 1))

    def _packets(self):
        found, self._read = self._chip.i2c_sent(self._panel["id"], self._read)
        for _, address, data in found:
            if address == self._panel["address"]:
                self.screen.packet(data)
        return [ns for ns, _, _ in found]

    def _bytes(self):
        pins = self._panel["pins"]
        found = self._chip.spi_sent(self._panel["id"])
        self._chip.core.log_clear(self._panel["id"])
        selected = [(ns, byte, levels >> pins["dc"] & 1) for ns, byte, levels in found if not levels >> pins["cs"] & 1]
        start = 0
        for n in range(1, len(selected) + 1):
            if n == len(selected) or selected[n][2] != selected[start][2]:
                self.screen.receive(bytes(byte for _, byte, _ in selected[start:n]), selected[start][2])
                start = n
        return [ns for ns, _, _ in selected]
