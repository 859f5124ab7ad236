"""An ST7789V as its datasheet says: bytes and the D/C level in, pixels out.

Command numbers, parameter counts, the address rules of MADCTL and the waits after SLPOUT and SLPIN are those
of Sitronix's ST7789V datasheet (chapters 8.12 and 9), here from memory. What a driver may not do raises
Misuse, so that a slip in the driver fails a test instead of showing garbage.
"""

from array import array

from sim.panels import bus, picture
from sim.panels.colours import rgb888

COLUMNS, PAGES = 240, 320  # the chip's memory
# name: (number, fewest and most parameters)
COMMANDS = {
    "NOP": (0x00, 0, 0), "SWRESET": (0x01, 0, 0), "SLPIN": (0x10, 0, 0), "SLPOUT": (0x11, 0, 0),
    "PTLON": (0x12, 0, 0), "NORON": (0x13, 0, 0), "INVOFF": (0x20, 0, 0), "INVON": (0x21, 0, 0),
    "DISPOFF": (0x28, 0, 0), "DISPON": (0x29, 0, 0), "CASET": (0x2A, 4, 4), "RASET": (0x2B, 4, 4),
    "RAMWR": (0x2C, 0, None), "TEOFF": (0x34, 0, 0), "MADCTL": (0x36, 1, 1), "IDMOFF": (0x38, 0, 0),
    "IDMON": (0x39, 0, 0), "COLMOD": (0x3A, 1, 1), "RAMWRC": (0x3C, 0, None), "PORCTRL": (0xB2, 5, 5),
    "GCTRL": (0xB7, 1, 1), "VCOMS": (0xBB, 1, 1), "LCMCTRL": (0xC0, 1, 1), "VDVVRHEN": (0xC2, 1, 2),
    "VRHS": (0xC3, 1, 1), "VDVS": (0xC4, 1, 1), "FRCTRL2": (0xC6, 1, 1), "PWCTRL1": (0xD0, 2, 2),
    "PVGAMCTRL": (0xE0, 14, 14), "NVGAMCTRL": (0xE1, 14, 14),
}
_BY_NUMBER = {number: (name, least, most) for name, (number, least, most) in COMMANDS.items()}
_MY, _MX, _MV, _BGR = 0x80, 0x40, 0x20, 0x08
_HEX = [rgb888(colour) for colour in range(65536)]


class Misuse(Exception):
    """The driver did what the datasheet forbids."""


class Screen:
    """The chip and its glass.

    width, height: as the user holds it; rotation: of the glass from upright, degrees
    counter-clockwise; left, top: where upright glass begins in the chip's memory; inverted: glass that needs
    INVON (IPS); bgr: stripes in the order blue, green, red; now: ms, to hold the driver to the waits.
    """

    def __init__(self, width=320, height=240, rotation=90, left=0, top=0, inverted=True, bgr=False, now=None):
        self.width, self.height, self.rotation = width, height, rotation
        self._corner, self._inverted, self._bgr = (left, top), inverted, bgr
        self._now, self._slept, self._woken = now, None, None
        self.pwm = bus.Pwm()
        self.bytes = 0
        self.names = []  # every command's name, in order
        self._ram = array("H", bytes(2 * COLUMNS * PAGES))
        self._reset()

    def _reset(self):
        self._asleep, self._on, self._inv, self._madctl, self._colmod = True, False, False, 0, 0x66
        self._window = [0, COLUMNS - 1, 0, PAGES - 1]
        self._x = self._y = 0
        self._command, self._values, self._odd = None, b"", b""
        self._touched = set()

    def reset(self, level):
        """The reset pin's edge."""
        if level:
            self._reset()

    def receive(self, data, bit):
        """Bytes while selected. bit: 0 command, 1 parameter or pixels."""
        data = bytes(data)
        self.bytes += len(data)
        if bit and data:
            self._parameters(data)
        elif not bit:
            for number in data:
                self._begin(number)

    def select(self, level):
        """The select pin's edge: a command's parameters must be whole."""
        if level:
            self._finish()

    def _begin(self, number):
        self._finish()
        if number not in _BY_NUMBER:
            raise Misuse(f"ST7789: no command {number:#04x}")
        self._command, self._values, self._odd = _BY_NUMBER[number][0], b"", b""
        self.names.append(self._command)
        self._wait(self._command)
        if self._command == "RAMWR":
            self._x, self._y = self._window[0], self._window[2]
        if self._command in _PLAIN:
            _PLAIN[self._command](self)

    def _wait(self, name):
        """Datasheet 9.1: 5 ms after SLPIN and SLPOUT before any command, 120 ms before the other."""
        if self._now is None:
            return
        for since in (self._slept, self._woken):
            if since is not None and self._now() - since < 5:
                raise Misuse(f"ST7789: {name} within 5 ms of a sleep command")
        other = self._slept if name == "SLPOUT" else self._woken if name == "SLPIN" else None
        if other is not None and self._now() - other < 120:
            raise Misuse(f"ST7789: {name} within 120 ms of its opposite")

    def _parameters(self, data):
        if self._command is None:
            raise Misuse("ST7789: data without a command")
        if self._command in ("RAMWR", "RAMWRC"):
            self._pixels(data)
            return
        most = _BY_NUMBER[COMMANDS[self._command][0]][2]
        self._values += data
        if len(self._values) > most:
            raise Misuse(f"ST7789: {self._command} takes {most} parameters, got {len(self._values)}")
        if self._command in _WITH and len(self._values) == most:
            _WITH[self._command](self, self._values)

    def _finish(self):
        if self._command is None:
            return
        least = COMMANDS[self._command][1]
        if self._command not in ("RAMWR", "RAMWRC") and len(self._values) < least:
            raise Misuse(f"ST7789: {self._command} needs {least} parameters, got {len(self._values)}")

    def _caset(self, values):
        self._window[0:2] = self._range("CASET", values, PAGES if self._madctl & _MV else COLUMNS)

    def _raset(self, values):
        self._window[2:4] = self._range("RASET", values, COLUMNS if self._madctl & _MV else PAGES)

    @staticmethod
    def _range(name, values, size):
        first, last = values[0] << 8 | values[1], values[2] << 8 | values[3]
        if not first <= last < size:
            raise Misuse(f"ST7789: {name} {first}..{last} outside 0..{size - 1}")
        return first, last

    def _sleep(self, asleep):
        if asleep != self._asleep and self._now is not None:
            self._slept, self._woken = (self._now(), None) if asleep else (None, self._now())
        self._asleep = asleep
        self._all()

    def _show(self, on):
        self._on = on
        self._all()

    def _all(self):
        self._touched.update(range(self.height))

    def _invert(self, inverted):
        self._inv = inverted
        self._all()

    def _set_madctl(self, values):
        self._madctl = values[0]

    def _set_colmod(self, values):
        self._colmod = values[0]

    def _place(self, x, y):
        """Datasheet 8.12: where column address x and row address y are in the memory."""
        column, page = (y, x) if self._madctl & _MV else (x, y)
        column = COLUMNS - 1 - column if self._madctl & _MX else column
        page = PAGES - 1 - page if self._madctl & _MY else page
        return page * COLUMNS + column

    def _pixels(self, data):
        if self._colmod & 7 != 5:
            raise Misuse(f"ST7789: pixels in COLMOD {self._colmod:#04x}; only 16 bits a pixel are emulated")
        data = self._odd + data
        self._odd = data[len(data) & ~1:]
        words = array("H", data[:len(data) & ~1])
        words.byteswap()
        x0, x1, y0, y1 = self._window
        step = self._place(1, 0) - self._place(0, 0)
        done = 0
        while done < len(words):
            run = words[done:done + x1 + 1 - self._x]
            first = self._place(self._x, self._y)
            stop = first + step * len(run)
            self._ram[first:stop if stop >= 0 else None:step] = run
            self._mark(first, first + step * (len(run) - 1))
            done += len(run)
            self._x += len(run)
            if self._x > x1:
                self._x, self._y = x0, self._y + 1 if self._y < y1 else y0

    def _mark(self, first, last):
        """The rows, as held, that two places in the memory are on."""
        rows = [self._row(place) for place in (first, last)]
        self._touched.update(range(min(rows), max(rows) + 1))

    def _row(self, place):
        column, page = place % COLUMNS - self._corner[0], place // COLUMNS - self._corner[1]
        return {0: page, 90: self.height - 1 - column, 180: self.height - 1 - page, 270: column}[self.rotation]

    def _line(self, y):
        """Row y as held, as RGB565 words of the memory."""
        across = {0: 1, 90: COLUMNS, 180: -1, 270: -COLUMNS}[self.rotation]
        left, top = self._corner
        w, h = (self.width, self.height) if self.rotation in (0, 180) else (self.height, self.width)
        column, page = {0: (0, y), 90: (w - 1 - y, 0), 180: (w - 1, h - 1 - y), 270: (y, h - 1)}[self.rotation]
        first = (page + top) * COLUMNS + column + left
        stop = first + across * self.width
        return self._ram[first:stop if stop >= 0 else None:across]

    @property
    def light(self):
        """Backlight, per cent of full pulse width."""
        return self.pwm.duty * 100 / 65535

    @property
    def dark(self):
        """True where nothing can be seen: asleep, switched off or without light."""
        return self._asleep or not self._on or self.pwm.duty == 0

    def rgb(self, top=0, bottom=None):
        """What the eye sees of rows top..bottom-1 at full light, three bytes a pixel; black when dark."""
        bottom = self.height if bottom is None else bottom
        if self.dark:
            return bytes(3 * self.width * (bottom - top))
        flip = 0xFFFF if self._inv != self._inverted else 0
        words = array("H")
        for y in range(top, bottom):
            words += self._line(y)
        if flip:
            words = array("H", (word ^ flip for word in words))
        seen = b"".join(map(_HEX.__getitem__, words))
        if bool(self._madctl & _BGR) != self._bgr:
            seen = bytes(seen[i ^ 0 if i % 3 == 1 else i + 2 - 2 * (i % 3)] for i in range(len(seen)))
        return seen

    def png(self, path=None):
        """What the eye sees as a PNG: written to path if given; -> bytes."""
        data = picture.png(self.width, self.height, self.rgb())
        if path:
            with open(path, "wb") as file:
                file.write(data)
        return data

    def touched(self):
        """Rows changed since the last call: (top, bottom), or None."""
        rows, self._touched = self._touched, set()
        return (max(0, min(rows)), min(self.height, max(rows) + 1)) if rows else None


_PLAIN = {
    "SWRESET": Screen._reset, "SLPIN": lambda s: s._sleep(True), "SLPOUT": lambda s: s._sleep(False),
    "INVOFF": lambda s: s._invert(False), "INVON": lambda s: s._invert(True),
    "DISPOFF": lambda s: s._show(False), "DISPON": lambda s: s._show(True),
}
_WITH = {"CASET": Screen._caset, "RASET": Screen._raset, "MADCTL": Screen._set_madctl,
         "COLMOD": Screen._set_colmod}


def wired(width=320, height=240, now=None, wait=None, **glass):
    """The real driver on a make-believe SPI with this chip. glass: as Screen's. -> (panel, screen)."""
    from hal.panels.st7789 import ST7789

    screen = Screen(width, height, now=now, **glass)
    spi, cs, dc = bus.Spi(), bus.Pin(1, screen.select), bus.Pin()
    spi.attach(screen, cs, dc)
    panel = ST7789(spi, cs, dc, screen.pwm, now or (lambda: 1000), wait or (lambda _ms: None),
                   reset=bus.Pin(1, screen.reset), width=width, height=height,
                   **{key: glass[key] for key in ("rotation", "left", "top", "inverted", "bgr") if key in glass})
    panel.begin()
    return panel, screen
