"""SSD1306 monochrome OLED, 128x64 or 128x32. Made by hal/make.

Commands used (Solomon Systech SSD1306 datasheet, chapter 9): memory mode 20h (pages), column 00h.., 10h..,
start line 40h, contrast 81h, charge pump 8Dh, segment remap A0h/A1h, follow memory A4h, not inverted A6h,
multiplex A8h, display off/on AEh/AFh, page B0h.., COM scan C0h/C8h, offset D3h, clock D5h, precharge D9h,
COM pins DAh, VCOMH DBh, no scroll 2Eh.
"""

from hal.panels.oled import Oled


class SSD1306(Oled):
    """upside_down: the glass is rotated by 180 degrees. The rest as Oled's."""

    def __init__(self, bus, wait, reset=None, width=128, height=64, upside_down=False):
        super().__init__(bus, wait, reset, (width, height), bytes((
            0xAE, 0xD5, 0x80, 0xA8, height - 1, 0xD3, 0, 0x40, 0x8D, 0x14, 0x20, 2, 0x2E,
            0xA0 if upside_down else 0xA1, 0xC0 if upside_down else 0xC8,
            0xDA, 0x12 if height == 64 else 0x02, 0xD9, 0xF1, 0xDB, 0x20, 0xA4, 0xA6,
        )), bytearray((0xB0, 0x00, 0x10)))
