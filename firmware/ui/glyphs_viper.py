"""The machine-code twins of firmware.ui.glyphs: no allocation. Imported where the port has an emitter.

Strings are read as the UTF-8 bytes they are, up to the NUL that MicroPython keeps behind them.
"""
# ruff: noqa: F821, C901

import micropython


def measure(data, s, count):
    """As firmware.ui.glyphs.measure."""
    return _walk(data, 0, data, s, count, 0, 0, -1, 0x10000)


def fit(data, s, width):
    """As firmware.ui.glyphs.fit."""
    return _walk(data, 0, data, s, 0x10000, 0, 0, -2, width)


def draw4(fb, size, data, s, count, x, y, ink):
    """As firmware.ui.glyphs.draw4."""
    return _walk(fb, size, data, s, count, x, y, ink, 0x10000)


def draw1(fb, size, data, s, count, x, y, ink):
    """As firmware.ui.glyphs.draw1."""
    return _walk(fb, size, data, s, count, x, y, ink | 16, 0x10000)


# One function, as a call between viper functions costs more than a glyph: ink 0..15 draws into nibbles, 16
# and 17 into columns of eight; -1 and -2 only walk, and give x, or how many characters end before `limit`.
@micropython.viper
def _walk(fb, size: int, data, s, count: int, x: int, y: int, ink: int, limit: int) -> int:
    pixels = ptr8(fb)
    font = ptr8(data)
    text = ptr8(s)
    stride = size >> 16
    height = size & 0xFFFF
    base = 3 + 3 * font[2]
    done = 0
    i = 0
    while text[i] and done < count:
        code = text[i]
        i += 1
        if code >= 0xE0:
            code = (code & 15) << 12 | (text[i] & 63) << 6 | text[i + 1] & 63
            i += 2
        elif code >= 0xC0:
            code = (code & 31) << 6 | text[i] & 63
            i += 1
        at = 0
        while at == 0:
            run = 3
            index = 0
            while run < base:
                ahead = code - (font[run] << 8 | font[run + 1])
                if ahead >= 0 and ahead < font[run + 2]:
                    at = base + 2 * (index + ahead)
                    run = base
                else:
                    index += font[run + 2]
                    run += 3
            code = 63  # '?' stands for what the font lacks
        at = font[at] << 8 | font[at + 1]
        advance = font[at]
        if x + advance > limit:
            break
        if ink >= 0:
            left = x + (font[at + 1] >> 6)
            row = y + (font[at + 1] & 63)
            right = left + font[at + 2]
            under = row + font[at + 3]
            at += 4
            # Two pixels at a time where nothing can fall outside; one by one at the edges and on small panels.
            if ink < 16 and left >= 0 and right <= stride and row >= 0 and under <= height:
                shift = 2 - (left & 1)
                while row < under:
                    to = (row * stride + left) >> 1
                    column = left
                    while column < right:
                        bits = font[at] << shift
                        at += 1
                        while bits:
                            pair = bits >> 8
                            if pair:
                                mask = (pair & 1) * 0x0F | (pair >> 1) * 0xF0
                                pixels[to] = pixels[to] & (mask ^ 0xFF) | ink * 0x11 & mask
                            bits = bits << 2 & 0x3FF
                            to += 1
                        column += 8
                        to = (row * stride + column) >> 1
                    row += 1
            while row < under:
                column = left
                bits = 0
                while column < right:
                    if (column - left) & 7 == 0:
                        bits = font[at]
                        at += 1
                    if bits & 0x80 and column >= 0 and column < stride and row >= 0 and row < height:
                        if ink & 16:
                            to = (row >> 3) * stride + column
                            bit = 1 << (row & 7)
                            if ink & 1:
                                pixels[to] = pixels[to] | bit
                            else:
                                pixels[to] = pixels[to] & (bit ^ 0xFF)
                        else:
                            to = (row * stride + column) >> 1
                            if column & 1:
                                pixels[to] = pixels[to] & 0xF0 | ink
                            else:
                                pixels[to] = pixels[to] & 15 | ink << 4
                    bits <<= 1
                    column += 1
                row += 1
        x += advance
        done += 1
    if ink == -2:
        return done
    return x
