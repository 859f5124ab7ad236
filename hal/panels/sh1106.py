"""SH1106 monochrome OLED, 128x64 glass in the middle of a memory of 132 columns. Made by hal/make.

Commands used (Sino Wealth SH1106 datasheet, "Commands"): column 00h.., 10h.., pump 30h.., start line 40h,
contrast 81h, segment remap A0h/A1h, follow memory A4h, not inverted A6h, multiplex A8h, converter ADh,
display off/on AEh/AFh, page B0h.., COM scan C0h/C8h, offset D3h, clock D5h, precharge D9h, COM pins DAh,
VCOM DBh.
"""

from hal.panels.oled import Oled


class SH1106(Oled):
    """upside_down: the glass is rotated by 180 degrees. The rest as Oled's."""

    def __init__(self, bus, wait, reset=None, width=128, height=64, upside_down=False):
        super().__init__(bus, wait, reset, (width, height), bytes((
            0xAE, 0xD5, 0x80, 0xA8, height - 1, 0xD3, 0, 0x40, 0xAD, 0x8B, 0x32,
            0xA0 if upside_down else 0xA1, 0xC0 if upside_down else 0xC8,
            0xDA, 0x12, 0xD9, 0x22, 0xDB, 0x35, 0xA4, 0xA6,
        )), bytearray((0xB0, 0x02, 0x10)))
