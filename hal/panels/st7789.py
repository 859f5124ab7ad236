"""ST7789V colour TFT over SPI: 4-bit rows, expanded to RGB565 a few at a time. Made by hal/make.

Commands used (Sitronix ST7789V datasheet, chapter 9): SLPIN 10h, SLPOUT 11h, RASET 2Bh, RAMWR 2Ch; those of the start
are in st7789_begin.py.
"""

from array import array

from micropython import const

try:  # machine code where the port has an emitter for it
    from hal.panels.expand_viper import expand, pairs
except (ImportError, SyntaxError, NameError):  # no emitter; or CPython, which knows no ptr8
    from hal.panels.expand import expand, pairs

_SLPIN = const(0x10)
_SLPOUT = const(0x11)
_RASET = const(0x2B)
_RAMWR = const(0x2C)
_ROWS = const(16)  # in the buffer: 2,560 bytes at 320 wide
_PART = const(2)  # rows sent at once: half as many bytes, 0.3 ms at 40 MHz


class ST7789:
    """A Panel of hal/contract.py with 4 bits a pixel.

    spi: has write(buffer), mode 0 or 3, 62.5 MHz at most; cs, dc, reset: called with a level; light: PWM of
    the backlight with duty_u16(), or None; now: ms; wait: sleeps for ms. width, height: as the user holds
    it; rotation: of the glass from upright, degrees counter-clockwise: 0, 90, 180 or 270; left, top: where upright
    glass begins in the chip's 240x320 memory; inverted: IPS glass; bgr: colour stripes in the order blue, green, red.
    """

    bits = 4
    rows = _ROWS

    def __init__(self, spi, cs, dc, light, now, wait, reset=None, width=320, height=240, rotation=90,
                 left=0, top=0, inverted=True, bgr=False):
        from hal.panels.st7789_begin import corner  # once: firmware/start drops it

        self.width = width
        self.height = height
        self.even = width + 1 & ~1  # framebuf's rows are whole bytes; the odd pixel falls beside the glass
        self.buffer = bytearray(self.even * _ROWS // 2)
        self._spi, self._cs, self._dc, self._light, self.now, self.wait = spi, cs, dc, light, now, wait
        self.x, self._y = corner(width, height, rotation, left, top)
        self._one = bytearray(1)
        self._four = bytearray(4)
        self._colours = array("H", bytes(32))
        self._table = array("I", bytes(1024))  # two pixels for each byte of the buffer
        self._stale = True  # the table is older than the colours
        self._out = array("I", bytes(self.even * _PART * 2))
        self._whole = memoryview(self._out)
        self._asleep = False
        self.since = 0
        self._begin = reset, rotation, inverted, bgr

    def begin(self):
        """Start the panel: takes about 130 ms, so let the line run first."""
        from hal.panels.st7789_begin import begin

        begin(self, *self._begin)

    def command(self, number, values=None):
        """Send a command and its values."""
        self._one[0] = number
        self._cs(0)
        self._dc(0)
        self._spi.write(self._one)
        self._dc(1)
        if values is not None:
            self._spi.write(values)
        self._cs(1)

    def window(self, command, first, count):
        """Say which columns or rows are meant."""
        last = first + count - 1
        four = self._four
        four[0] = first >> 8
        four[1] = first & 255
        four[2] = last >> 8
        four[3] = last & 255
        self.command(command, four)

    def show(self, top, bottom, first=0):
        """Send rows top..bottom-1 from the buffer's row `first` on: eight take 1.0 ms at 40 MHz."""
        self._settle(6)
        if self._stale:
            pairs(self._colours, self._table)
            self._stale = False
        self.window(_RASET, self._y + top, bottom - top)
        self.command(_RAMWR)
        self._cs(0)
        stride = self.even >> 1
        while top < bottom:
            rows = min(_PART, bottom - top)
            expand(self.buffer, first * stride, rows * stride, self._table, self._out)
            self._spi.write(self._out if rows == _PART else self._whole[:rows * stride])
            top += rows
            first += rows
        self._cs(1)

    def palette(self, colours):
        """Sixteen RGB565 ints; rows show them when next sent."""
        for i in range(16):
            self._colours[i] = colours[i]
        self._stale = True

    def brightness(self, percent):
        """0..100, of pulse width. 0: light off and the chip asleep; its memory holds the picture."""
        if percent and self._asleep:
            self._sleep(_SLPOUT)
        if self._light:
            self._light.duty_u16(percent * 65535 // 100)
        # The chip must have been awake for 120 ms; until then only the light is switched off.
        if not percent and not self._asleep and self.now() - self.since >= 120:
            self._sleep(_SLPIN)

    def _sleep(self, command):
        """To and from sleep. The chip must have been in the other state for 120 ms."""
        self._settle(120)
        self.command(command)
        self.since = self.now()
        self._asleep = command == _SLPIN

    def _settle(self, ms):
        """Wait until the last sleep command lies ms back: the chip takes no other command for 5 ms after it."""
        left = ms - (self.now() - self.since)
        if left > 0:
            self.wait(left)
