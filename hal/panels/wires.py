"""How an OLED chip is reached: I2C or four-wire SPI, one face for both. Made by boards for the drivers."""


class OverI2c:
    """i2c: has writeto(address, buffer), 400 kHz or faster; address: 3Ch or 3Dh; width: bytes a page."""

    def __init__(self, i2c, address=0x3C, width=128):
        self._i2c, self._address = i2c, address
        self._page = bytearray(1 + width)
        self._page[0] = 0x40  # the control byte: data follow to the end
        self._width = width
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


class OverSpi:
    """spi: has write(buffer), 10 MHz at most (SSD1306; SH1106 4 MHz); cs, dc: called with a level."""

    def __init__(self, spi, cs, dc):
        self._spi, self._cs, self._dc = spi, cs, dc

    def _send(self, level, values):
        self._cs(0)
        self._dc(level)
        self._spi.write(values)
        self._cs(1)

    def commands(self, values):
        """Send command bytes."""
        self._send(0, values)

    def data(self, page):
        """Send bytes to the memory."""
        self._send(1, page)
