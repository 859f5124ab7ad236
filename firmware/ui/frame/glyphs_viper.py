"""The machine-code twin of firmware.ui.frame.glyphs, which allocates nothing. Used by the canvas where the port has an
emitter.

Strings are read as the UTF-8 bytes they are, up to the NUL that MicroPython keeps behind them.
"""
# ruff: noqa: F821, C901

import micropython

# Four masks of what stays of a pair of pixels, by the two bits of the glyph, and four of what is painted.
_MASKS = b"\xff\xf0\x0f\x00\x00\x0f\xf0\xff"


@micropython.viper
def accented(text: ptr8) -> int:
    """As firmware.ui.frame.glyphs.accented."""
    i = 0
    while text[i]:
        lead = text[i]
        i += 1
        if lead == 0xC3:
            return 1
        if lead == 0xC2:
            code = text[i]
            if not (code == 0xB0 or code == 0xB1 or (code >= 0xBC and code <= 0xBE)):
                return 1
    return 0


def measure(data, s, count):
    """As firmware.ui.frame.glyphs.measure."""
    return _walk(data, data, s, 0, count, 0, 0, -1, 0x10000)


def fit(data, s, width):
    """As firmware.ui.frame.glyphs.fit."""
    return _walk(data, data, s, 0, 0x10000, 0, 0, -2, width)


def draw4(fb, size, data, s, count, x, y, ink):
    """As firmware.ui.frame.glyphs.draw4."""
    return _walk(fb, data, s, size, count, x, y, ink, 0x10000)


def draw1(fb, size, data, s, count, x, y, ink):
    """As firmware.ui.frame.glyphs.draw1."""
    return _walk(fb, data, s, size, count, x, y, ink | 16, 0x10000)


# One function, as calls between viper functions are slow; its first three arguments live in registers. ink 0..15
# draws into nibbles, 16 and 17 into columns of eight. -1 and -2 draw nothing: -1 returns x after the last character, -2
# how many characters end before `limit`.
@micropython.viper
def _walk(pixels: ptr8, font: ptr8, text: ptr8, size: int, count: int, x: int, y: int, ink: int, limit: int) -> int:
    masks = ptr8(_MASKS)
    paint = ink * 0x11
    stride = size >> 16
    height = size & 0xFFFF
    base = 3 + 3 * font[2]
    done = 0
    i = 0
    while text[i] and done < count:
        code = text[i]
        i += 1
        if code >= 0xF0:  # above U+FFFF: no font has it
            code = 63
            i += 3
        elif code >= 0xE0:
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
            if row < 0:  # the letter begins in the band before
                at -= ((font[at - 2] + 7) >> 3) * row
                row = 0
            if under > height:
                under = height
            # Two pixels at a time, unrolled, where nothing can fall outside; at edges and on small panels one by one.
            if ink < 16 and left >= 0 and right <= stride:
                shift = 2 - (left & 1)
                while row < under:
                    to = (row * stride + left) >> 1
                    column = left
                    while column < right:
                        bits = font[at] << shift
                        at += 1
                        pair = bits >> 8
                        if pair:
                            pixels[to] = pixels[to] & masks[pair] | paint & masks[pair + 4]
                        pair = bits >> 6 & 3
                        if pair:
                            pixels[to + 1] = pixels[to + 1] & masks[pair] | paint & masks[pair + 4]
                        pair = bits >> 4 & 3
                        if pair:
                            pixels[to + 2] = pixels[to + 2] & masks[pair] | paint & masks[pair + 4]
                        pair = bits >> 2 & 3
                        if pair:
                            pixels[to + 3] = pixels[to + 3] & masks[pair] | paint & masks[pair + 4]
                        pair = bits & 3
                        if pair:
                            pixels[to + 4] = pixels[to + 4] & masks[pair] | paint & masks[pair + 4]
                        to += 4
                        column += 8
                    row += 1
            while row < under:
                column = left
                bits = 0
                while column < right:
                    if (column - left) & 7 == 0:
                        bits = font[at]
                        at += 1
                    if bits & 0x80 and column >= 0 and column < stride:
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
