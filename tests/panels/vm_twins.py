"""Machine-code twins against the plain ones, by random calls: `micropython vm_twins.py ROOT/firmware`."""

import sys

sys.path.insert(0, sys.argv[1].rsplit("/", 1)[0])

import random
from array import array

import framebuf

from firmware.ui.fonts import body, figures, small, tiny
from firmware.ui.frame import glyphs, glyphs_viper, strokes, strokes_viper
from hal.panels import expand, expand_viper

FONTS = (tiny.DATA, small.DATA, body.DATA, figures.DATA)
GUARD = 512  # bytes on both sides that nobody may touch
LETTERS = "Ki−1⅓½±∆…→ÅßØ日🎬שÿ ~!\u00a0"


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


def some_strokes(count):
    """As the canvas makes them: mostly on the panel, one in four hidden."""
    out = array("i")
    for _ in range(count):
        out.extend(array("i", [
            random.getrandbits(9) - 40 + 1024 << 12 | random.getrandbits(8) - 20 + 1024,
            random.getrandbits(8) << 12 | random.getrandbits(5) if random.getrandbits(2) else 0,
            random.getrandbits(16), random.getrandbits(30)]))
    return out


def same_strokes():
    count = random.getrandbits(5)
    data = some_strokes(count)
    top = random.getrandbits(8) - 20
    bottom, at = top + random.getrandbits(6), random.getrandbits(8) % (count + 1)
    assert strokes.text_sum(text()) < 1 << 30
    s = text()
    assert strokes.text_sum(s) == strokes_viper.text_sum(s), s
    assert strokes.within(data, count, at, top, bottom) == strokes_viper.within(data, count, at, top, bottom)
    assert strokes.rows_sum(data, count, top, bottom) == strokes_viper.rows_sum(data, count, top, bottom)
    box = random.getrandbits(8) - 20, random.getrandbits(7) - 20, random.getrandbits(9), random.getrandbits(8)
    what = data[4 * (at % count) + 2] if count else 0
    said = []
    for module in (strokes, strokes_viper):
        changed = array("i", data)
        module.hide(changed, count, *box)
        module.retint(changed, count, what, 12345)
        said.append(changed)
    assert said[0] == said[1], box


def tells_apart():
    """Every change of a stroke that is seen changes the sum of its rows."""
    data = some_strokes(20)
    at = strokes_viper.within(data, 20, random.getrandbits(4), 0, 240)
    if at < 20:
        before = strokes_viper.rows_sum(data, 20, 0, 240)
        for word, bit in ((0, 12), (1, 12), (2, random.getrandbits(4)), (3, random.getrandbits(8) % 30)):
            data[4 * at + word] ^= 1 << bit
            assert strokes_viper.rows_sum(data, 20, 0, 240) != before
            data[4 * at + word] ^= 1 << bit


random.seed(5)
for _ in range(2000):
    same_walk()
    same_drawing("draw4", framebuf.GS4_HMSB, 4)
    same_drawing("draw1", framebuf.MONO_VLSB, 1)
    same_expanding()
    same_strokes()
    tells_apart()
print("same")
