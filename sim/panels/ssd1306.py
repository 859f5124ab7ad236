"""An SSD1306 as its datasheet says (Solomon Systech rev 1.1, chapters 8 and 9; here from memory).

The addressing modes of 20h; segment remap works on what is written after it, not on what is there; the charge
pump of 8Dh must be on for the glass to light.
"""

from sim.panels import oled

_COUNTS = {0x20: 1, 0x21: 2, 0x22: 2, 0x8D: 1, 0x26: 6, 0x27: 6, 0x29: 5, 0x2A: 5, 0x2E: 0, 0x2F: 0, 0xA3: 2}


class Screen(oled.Oled):
    """The chip and its glass."""

    def __init__(self, width=128, height=64):
        super().__init__(width, height, 128, _COUNTS.get, Screen._own)

    def reset(self, level):
        """The reset pin's edge."""
        super().reset(level)
        self._mode, self._columns, self._pages = 2, (0, 127), (0, 7)

    def column_of(self, segment):
        """The remap was made when the byte was written."""
        return segment

    def _own(self, first, value=0, *more):
        if first is None:
            self._write(value)
        elif first == 0x20:
            self._mode = value & 3
        elif first == 0x21:
            self._columns = self._range("column", value, more[0], 127)
            self.column = value
        elif first == 0x22:
            self._pages = self._range("page", value, more[0], 7)
            self.page = value
        elif first == 0x8D:
            self.state["pump"] = value >> 2 & 1
        elif first <= 0x0F:
            self.column = self.column & 0xF0 | first
        elif first <= 0x1F:
            self.column = (first & 7) << 4 | self.column & 15
        elif 0xB0 <= first <= 0xB7:
            self.page = first & 7

    @staticmethod
    def _range(name, first, last, most):
        if not first <= last <= most:
            raise oled.Misuse(f"SSD1306: {name} range {first}..{last} outside 0..{most}")
        return first, last

    def _write(self, value):
        self.store(self.page, 127 - self.column if self.state["remap"] else self.column, value)
        if self._mode == 2:
            self.column = (self.column + 1) & 127
        elif self._mode == 0:
            self.column = self._next(self.column, self._columns)
            if self.column == self._columns[0]:
                self.page = self._next(self.page, self._pages)
        else:
            self.page = self._next(self.page, self._pages)
            if self.page == self._pages[0]:
                self.column = self._next(self.column, self._columns)

    @staticmethod
    def _next(at, ends):
        return ends[0] if at == ends[1] else at + 1


def wired(width=128, height=64, over="i2c", wait=None, **options):
    """The real driver with this chip. -> (panel, screen)."""
    from hal.panels.ssd1306 import SSD1306

    return oled.wired(SSD1306, Screen(width, height), over, options, wait)
