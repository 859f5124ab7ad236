"""Text into a frame buffer: the plain twin of glyphs_viper. Used by the canvas where the port has no emitter.

A font is bytes, made by host/fonts.py. First come line height, baseline and the number of runs; then the runs of
characters: first code point (two bytes) and count; then, for each glyph, where it begins (two bytes); then the glyphs:
advance, left << 6 | top, width, rows, and the pixels row by row from the left, bit 7 first.
"""

import framebuf


def place(data, code):
    """Where the glyph of a code point begins in a font; that of '?' where the font has none."""
    base = 3 + 3 * data[2]
    index = 0
    for run in range(3, base, 3):
        ahead = code - (data[run] << 8 | data[run + 1])
        if 0 <= ahead < data[run + 2]:
            at = base + 2 * (index + ahead)
            return data[at] << 8 | data[at + 1]
        index += data[run + 2]
    return place(data, 63)


def accented(s):
    """1 if a text has a character of U+0080..U+00FF that the plain fonts lack: all of them but ° ± ¼ ½ ¾."""
    for c in s:
        if "\x80" <= c <= "\xff" and c not in "°±¼½¾":
            return 1
    return 0


def measure(data, s, count):
    """Width in pixels of the first `count` characters."""
    width = 0
    for i in range(count):
        width += data[place(data, ord(s[i]))]
    return width


def fit(data, s, width):
    """How many of the first characters fit into `width` pixels."""
    for i in range(len(s)):
        width -= data[place(data, ord(s[i]))]
        if width < 0:
            return i
    return len(s)


def draw4(fb, size, data, s, count, x, y, ink):
    """Draw the first `count` characters with their top left corner at x, y -> x after the last. Pixels outside are left
    out. size: stride << 16 | height of a GS4_HMSB buffer."""
    palette = framebuf.FrameBuffer(bytearray(((ink ^ 1) << 4 | ink,)), 2, 1, framebuf.GS4_HMSB)
    font = memoryview(data)
    for i in range(count):
        at = place(data, ord(s[i]))
        width, rows = data[at + 2], data[at + 3]
        if width:
            bits = bytearray(font[at + 4:at + 4 + ((width + 7) >> 3) * rows])
            glyph = framebuf.FrameBuffer(bits, width, rows, framebuf.MONO_HLSB)
            fb.blit(glyph, x + (data[at + 1] >> 6), y + (data[at + 1] & 63), ink ^ 1, palette)
        x += data[at]
    return x


draw1 = draw4  # into MONO_VLSB: blit knows the buffer's format
