"""An OLED chip on an I2C bus. Made by hal/make for the drivers; oled_spi.py is the same for SPI."""


class OverI2c:
    """i2c: has writeto(address, buffer), 400 kHz or faster; address: 3Ch or 3Dh; width: bytes a page."""

    def __init__(self, i2c, address=0x3C, width=128):
        self._i2c, self._address = i2c, address
        self._page = bytearray(1 + width)
        self._page[0] = 0x40  # the control byte: data follow to the end
        self._short = {}

    def commands(self, values):
        """Send command bytes. values: bytes of one length each time they come from the same place."""
        packet = self._short.get(len(values))
        if packet is None:
            packet = self._short[len(values)] = bytearray(1 + len(values))  # control byte 0: commands follow
        packet[1:] = values
        self._i2c.writeto(self._address, packet)

    def data(self, page):
        """Send one page's bytes to the memory."""
        self._page[1:] = page
        self._i2c.writeto(self._address, self._page)
