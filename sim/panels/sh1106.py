"""An SH1106 as its datasheet says (Sino Wealth V2.x, "Commands"; here from memory).

A memory of 132 columns, of which the usual glass shows the middle 128; page addressing alone, and the column
pointer stops at the last one; read-modify-write (E0h, EEh) keeps its place; the converter is on from reset.
"""

from sim.panels import oled


def _count(first):
    """Parameters of the chip's own commands, or None."""
    if first == 0xAD:
        return 1
    return 0 if 0x30 <= first <= 0x33 or first in (0xE0, 0xEE) else None


class Screen(oled.Oled):
    """The chip and its glass."""

    def __init__(self, width=128, height=64):
        super().__init__(width, height, 132, _count, Screen._own)

    def reset(self, level):
        """The reset pin's edge."""
        super().reset(level)
        self.state["pump"] = 1
        self._kept = None

    def _own(self, first, value=0):
        if first is None:
            self.store(self.page, self.column, value)
            self.column = min(self.column + 1, self.columns - 1)
        elif first <= 0x0F:
            self.column = self._column(self.column & 0xF0 | first)
        elif first <= 0x1F:
            self.column = self._column((first & 15) << 4 | self.column & 15)
        elif 0xB0 <= first <= 0xB7:
            self.page = first & 7
        elif first == 0xAD:
            self.state["pump"] = value & 1
        elif first == 0xE0:
            self._kept = self.column
        elif first == 0xEE and self._kept is not None:
            self.column, self._kept = self._kept, None

    def _column(self, column):
        if column >= self.columns:
            raise oled.Misuse(f"SH1106: column {column} outside 0..{self.columns - 1}")
        return column


def wired(width=128, height=64, over="i2c", wait=None, **options):
    """The real driver with this chip. -> (panel, screen)."""
    from hal.panels.sh1106 import SH1106

    return oled.wired(SH1106, Screen(width, height), over, options, wait)
