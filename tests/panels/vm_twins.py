"""Machine-code twins against the plain ones, by random calls: `micropython vm_twins.py ROOT/firmware`."""

import sys

sys.path.insert(0, sys.argv[1].rsplit("/", 1)[0])

import random
from array import array

import framebuf

from firmware.ui import font_body, font_figures, font_small, font_tiny, glyphs, glyphs_viper, sums_viper
from hal.panels import expand, expand_viper

FONTS = (font_tiny.DATA, font_small.DATA, font_body.DATA, font_figures.DATA)
GUARD = 512  # bytes on both sides that nobody may touch
LETTERS = "Ki−1⅓½±∆…→ÅßØ日ÿ ~!\u00a0"


def some(n):
    return bytearray(random.getrandbits(8) for _ in range(n))


def text():
    return "".join(LETTERS[random.getrandbits(8) % len(LETTERS)] for _ in range(random.getrandbits(3)))


def same_walk():
    data, s = FONTS[random.getrandbits(2)], text()
    count, width = random.getrandbits(8) % (len(s) + 1), random.getrandbits(7)
    assert glyphs.measure(data, s, count) == glyphs_viper.measure(data, s, count), (s, count)
    for code in range(0x20, 0x180):
        assert glyphs.accented(s[:count] + chr(code)) == glyphs_viper.accented(s[:count] + chr(code)), (s, code)
    assert glyphs.fit(data, s, width) == glyphs_viper.fit(data, s, width), (s, width)


def same_drawing(name, form, bits):
    w, h = 2 * (1 + random.getrandbits(6)), 8 * (1 + random.getrandbits(3))
    data, s, before = FONTS[random.getrandbits(2)], text(), some(w * h * bits // 8 + 2 * GUARD)
    count, ink = random.getrandbits(8) % (len(s) + 1), random.getrandbits(bits)
    x, y = random.getrandbits(8) - 100, random.getrandbits(7) - 50
    said = []
    for module in (glyphs, glyphs_viper):
        pixels = bytearray(before)
        fb = framebuf.FrameBuffer(memoryview(pixels)[GUARD:-GUARD], w, h, form)
        said.append((getattr(module, name)(fb, w << 16 | h, data, s, count, x, y, ink), pixels))
    assert said[0] == said[1], (name, s, count, x, y, ink, w, h)
    assert pixels[:GUARD] == before[:GUARD] and pixels[-GUARD:] == before[-GUARD:]


def same_expanding():
    source, colours = some(200), array("H", [random.getrandbits(16) for _ in range(16)])
    start, count = random.getrandbits(6), random.getrandbits(6)
    tables = [array("I", bytes(1024)) for _ in range(2)]
    outs = [array("I", bytes(4 * 64)) for _ in range(2)]
    for module, table, out in zip((expand, expand_viper), tables, outs):
        module.pairs(colours, table)
        module.expand(source, start, count, table, out)
    assert bytes(tables[0]) == bytes(tables[1]) and bytes(outs[0]) == bytes(outs[1])


def tells_apart():
    """Every change of one or two nibbles must change the sum; a change of two may collide once in millions."""
    data = some(1280)
    before = sums_viper.checksum(memoryview(data), 0, 1280)
    assert 0 <= before < 1 << 25
    for _ in range(1 + random.getrandbits(1)):
        data[random.getrandbits(16) % 1280] ^= 1 << random.getrandbits(3)
    assert sums_viper.checksum(memoryview(data), 0, 1280) != before


def tells_lines_apart():
    """An upright line of 2, 4 or 8 pixels comes or goes in any column, in any ink: the change that cancels easily."""
    for column in range(320):
        for ink in (1, 2, 4, 8, 15):
            data = bytearray(1280)
            before = sums_viper.checksum(memoryview(data), 0, 1280)
            fb = framebuf.FrameBuffer(data, 320, 8, framebuf.GS4_HMSB)
            for rows in (2, 4, 8):
                fb.vline(column, 0, rows, ink)
                after = sums_viper.checksum(memoryview(data), 0, 1280)
                assert after != before, (column, ink, rows)
                before = after


random.seed(5)
for _ in range(2000):
    same_walk()
    same_drawing("draw4", framebuf.GS4_HMSB, 4)
    same_drawing("draw1", framebuf.MONO_VLSB, 1)
    same_expanding()
    tells_apart()
tells_lines_apart()
print("same")
