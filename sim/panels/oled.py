"""A monochrome OLED chip and its glass: what SSD1306 and SH1106 have in common. Used by those two.

Both take the same packets (I2C control bytes: Co, D/C#; the datasheets' chapter on the bus interface) and
share the commands for start line, contrast, remap, inversion, multiplex, offset, COM scan and pins. The glass
is that of the usual module, upright with segments remapped (A1h) and COM lines scanned down (C8h): common
practice.
"""

from sim.panels import bus, picture

HEIGHT = 64


class Misuse(Exception):
    """The driver did what the datasheet forbids."""


class Oled:
    """width, height: of the glass; columns: of the chip's memory; rules: the chip's own commands,
    a function (chip, first byte) -> how many parameters it takes, or None for a command it has not."""

    def __init__(self, width, height, columns, rules, run):
        self.width, self.height, self.columns = width, height, columns
        self._rules, self._run = rules, run
        self.bytes = 0
        self.unknown = []  # command bytes the datasheet does not have
        self.memory = [bytearray(columns) for _ in range(HEIGHT // 8)]
        self._touched = set()
        self.reset(1)

    def reset(self, level):
        """The reset pin's edge."""
        if level == 0:
            return
        self.state = {"start": 0, "contrast": 0x80, "remap": 0, "all": 0, "inverse": 0, "mux": 63, "on": 0,
                      "down": 0, "offset": 0, "pins": 0x12, "pump": 0}
        self.page = self.column = 0
        self._command = []
        self._all()

    def packet(self, data):
        """One I2C write, after the address: control bytes, each before one byte or before all the rest."""
        data = bytes(data)
        self.bytes += len(data) + 1  # and the address
        at = 0
        while at < len(data):
            control = data[at]
            if control & 0x3F:
                raise Misuse(f"OLED: control byte {control:#04x} has bits set that must be 0")
            end = at + 2 if control & 0x80 else len(data)
            self._take(data[at + 1:end], control & 0x40)
            at = end

    def receive(self, data, bit):
        """SPI bytes while selected. bit: the level of D/C."""
        data = bytes(data)
        self.bytes += len(data)
        self._take(data, bit)

    def select(self, _level):
        """The select pin's edge: these chips do not mind."""

    def _take(self, data, is_data):
        if is_data:
            if self._command:
                raise Misuse(f"OLED: data inside command {bytes(self._command).hex()}")
            for value in data:
                self.write(value)
            return
        for value in data:
            self._command.append(value)
            wanted = _count(self._command[0])
            wanted = self._rules(self._command[0]) if wanted is None else wanted
            if wanted is None:
                self.unknown.append(self._command[0])
                self._command = []
            elif len(self._command) == wanted + 1:
                command, self._command = self._command, []
                if not self._common(*command):
                    self._run(self, *command)

    def _common(self, first, value=0, *_more):
        """Carry out a command both chips have. -> False if it is the chip's own."""
        state = self.state
        if 0x40 <= first <= 0x7F:
            state["start"] = first & 63
        elif first & 0xFE in _SWITCHES:
            state[_SWITCHES[first & 0xFE]] = first & 1
        elif first in _SETTINGS:
            state[_SETTINGS[first]] = value & 63 if first in (0xA8, 0xD3) else value
        elif first & 0xF0 == 0xC0:
            state["down"] = first >> 3 & 1
        else:
            return False
        self._all()
        return True

    def _all(self):
        self._touched.update(range(self.height))

    def store(self, page, column, value):
        """One byte into the memory."""
        self.memory[page][column] = value
        for bit in range(8):
            row = (page * 8 + bit - self.state["start"] - self.state["offset"]) % HEIGHT
            self._touched.add(row if self.state["down"] else self.state["mux"] - row)

    def write(self, value):
        """A byte of data at the pointer; each chip moves its own way."""
        self._run(self, None, value)

    @property
    def light(self):
        """Contrast, per cent."""
        return 0 if self.dark else self.state["contrast"] * 100 / 255

    @property
    def dark(self):
        """True where nothing can be seen: switched off, or the pump that feeds the glass is."""
        return not (self.state["on"] and self.state["pump"])

    def _pixel(self, x, y):
        """The bit behind place x, y of the glass."""
        row = y if self.state["down"] else self.state["mux"] - y
        row = (row + self.state["start"] + self.state["offset"]) % HEIGHT
        segment = (self.columns + self.width) // 2 - 1 - x
        return self.memory[row >> 3][self.column_of(segment)] >> (row & 7) & 1

    def column_of(self, segment):
        """The memory column behind a segment."""
        return self.columns - 1 - segment if self.state["remap"] else segment

    def bits(self):
        """Rows of 0 and 1, as lit."""
        state = self.state
        if self.dark:
            return [bytes(self.width)] * self.height
        if state["all"]:
            return [b"\1" * self.width] * self.height
        if state["mux"] != self.height - 1:
            raise Misuse(f"OLED: multiplex {state['mux']} on glass of {self.height} rows")
        if state["pins"] & 0x10 != (0x10 if self.height == 64 else 0):
            raise Misuse(f"OLED: COM pins {state['pins']:#04x} interleave the rows of this glass wrongly")
        return [bytes(self._pixel(x, y) ^ state["inverse"] for x in range(self.width))
                for y in range(self.height)]

    def rgb(self, top=0, bottom=None):
        """What the eye sees of rows top..bottom-1 at full contrast, three bytes a pixel."""
        bottom = self.height if bottom is None else bottom
        return b"".join((b"\0\0\0", b"\xff\xff\xff")[lit] for row in self.bits()[top:bottom] for lit in row)

    def png(self, path=None):
        """What the eye sees as a PNG: written to path if given; -> bytes."""
        data = picture.png(self.width, self.height, self.rgb())
        if path:
            with open(path, "wb") as file:
                file.write(data)
        return data

    def touched(self):
        """Rows changed since the last call: (top, bottom), or None."""
        rows, self._touched = {row for row in self._touched if 0 <= row < self.height}, set()
        return (min(rows), max(rows) + 1) if rows else None


_SWITCHES = {0xA0: "remap", 0xA4: "all", 0xA6: "inverse", 0xAE: "on"}
_SETTINGS = {0x81: "contrast", 0xA8: "mux", 0xD3: "offset", 0xD5: "clock", 0xD9: "precharge", 0xDA: "pins",
             0xDB: "vcom"}


def _count(first):
    """Parameters of a command both chips have, or None."""
    if first in _SETTINGS:
        return 1
    if 0x40 <= first <= 0x7F or first & 0xFE in _SWITCHES or first & 0xF0 == 0xC0 or 0xB0 <= first <= 0xB7:
        return 0
    return 0 if first <= 0x1F or first == 0xE3 else None


def wired(driver, screen, over, options, wait):
    """The real driver on a make-believe bus with this chip. over: "i2c" or "spi". -> (panel, screen)."""
    from hal.panels import oled_i2c, oled_spi

    if over == "i2c":
        i2c = bus.I2c()
        i2c.attach(screen, 0x3C)
        wire = oled_i2c.OverI2c(i2c, 0x3C, screen.width)
    else:
        spi, cs, dc = bus.Spi(), bus.Pin(1, screen.select), bus.Pin()
        spi.attach(screen, cs, dc)
        wire = oled_spi.OverSpi(spi, cs, dc)
    panel = driver(wire, wait or (lambda _ms: None), reset=bus.Pin(1, screen.reset), width=screen.width,
                   height=screen.height, **options)
    panel.begin()
    return panel, screen
