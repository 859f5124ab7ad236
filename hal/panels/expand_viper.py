"""The machine-code twin of expand. Imported by st7789 where the port has a native emitter."""

import micropython


@micropython.viper
def expand(source: ptr8, start: int, count: int, colours: ptr16, out: ptr16):  # noqa: F821
    """As hal.panels.expand.expand."""
    n = 0
    i = start
    end = start + count
    while i < end:
        pair = source[i]
        out[n] = colours[pair >> 4]
        out[n + 1] = colours[pair & 15]
        n += 2
        i += 1
