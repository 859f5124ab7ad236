"""An OLED chip on a four-wire SPI bus. Made by hal/make for the drivers; oled_i2c.py is the same for I2C."""


class OverSpi:
    """spi: has write(buffer), 10 MHz at most (SSD1306; SH1106 4 MHz); cs, dc: called with a level."""

    def __init__(self, spi, cs, dc):
        self._spi, self._cs, self._dc = spi, cs, dc

    def commands(self, values):
        """Send command bytes."""
        self._send(0, values)

    def data(self, page):
        """Send bytes to the memory."""
        self._send(1, page)

    def _send(self, level, values):
        self._cs(0)
        self._dc(level)
        self._spi.write(values)
        self._cs(1)
