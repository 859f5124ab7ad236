"""The machine-code twin of hal/panels/expand.py. Imported by st7789 where the port has a native emitter."""
# ruff: noqa: F821

import micropython


@micropython.viper
def pairs(colours: ptr16, table: ptr32):
    """As hal.panels.expand.pairs."""
    pair = 0
    while pair < 256:
        left = colours[pair >> 4]
        right = colours[pair & 15]
        table[pair] = left >> 8 | (left & 255) << 8 | (right >> 8) << 16 | (right & 255) << 24
        pair += 1


@micropython.viper
def expand(source: ptr8, start: int, count: int, table: ptr32, out: ptr32):
    """As hal.panels.expand.expand; four bytes for each pass, as the loop costs as much as expanding one."""
    i = start
    end = start + count
    n = 0
    while i < end - 3:
        out[n] = table[source[i]]
        out[n + 1] = table[source[i + 1]]
        out[n + 2] = table[source[i + 2]]
        out[n + 3] = table[source[i + 3]]
        n += 4
        i += 4
    while i < end:
        out[n] = table[source[i]]
        n += 1
        i += 1
