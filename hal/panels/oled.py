"""What the monochrome OLED drivers ssd1306 and sh1106 share: sending pages, contrast, on and off."""


class Oled:
    """A Panel of hal/contract.py with 1 bit a pixel. Boards make one of its two children.

    bus: of oled_i2c or oled_spi; wait: sleeps for ms; reset: pin called with a level, or None. A page of eight
    rows takes 3.1 ms by I2C at 400 kHz, 0.13 ms by SPI at 8 MHz: one page for each step of a redraw by I2C.
    """

    bits = 1
    rows = 16

    def __init__(self, bus, wait, reset, size, begin, place):
        """size: (width, height); begin: start-up commands; place: "page 0" (B0h), column low and high."""
        self.width, self.height = size
        self.buffer = bytearray(self.width * self.rows // 8)
        self._bus = bus
        pixels = memoryview(self.buffer)
        self._pages = [pixels[at:at + self.width] for at in range(0, len(self.buffer), self.width)]
        self._place = place
        self._contrast = bytearray((0x81, 0))
        self._switch = bytearray(1)
        self._on = False
        self._wait, self._reset, self._begin = wait, reset, begin

    def begin(self):
        """Start the chip, and clear what its memory shows."""
        self._on = False
        if self._reset:
            for level in (0, 1):
                self._reset(level)
                self._wait(1)
        self._bus.commands(self._begin)
        for n in range(len(self.buffer)):
            self.buffer[n] = 0
        for top in range(0, self.height, self.rows):
            self.show(top, top + self.rows)
        self.brightness(50)

    def show(self, top, bottom, first=0):
        """Send rows top..bottom-1 from the buffer's row `first` on, whole pages of eight."""
        first -= top
        for page in range(top >> 3, (bottom + 7) >> 3):
            self._place[0] = 0xB0 | page
            self._bus.commands(self._place)
            self._bus.data(self._pages[page + (first >> 3)])

    def palette(self, colours):
        """Nothing: one bit has no palette."""

    def brightness(self, percent):
        """0..100, of contrast. 0: the display off and its pump with it; the memory holds the picture."""
        if percent:
            self._contrast[1] = percent * 255 // 100
            self._bus.commands(self._contrast)
        if bool(percent) != self._on:
            self._on = bool(percent)
            self._switch[0] = 0xAF if percent else 0xAE
            self._bus.commands(self._switch)
