"""The machine-code twin of hal/rp2/line_words.py: the same functions in viper."""

# ruff: noqa: F821  ptr8 is the viper compiler's

import micropython


@micropython.viper
def copy(to, at: int, source, count: int):
    d = ptr8(to)
    s = ptr8(source)
    for n in range(count):
        d[at + n] = s[n]


@micropython.viper
def slots(ring, start: int, end: int, to, at: int) -> int:
    items = ptr8(ring)
    d = ptr8(to)
    most = end
    if at >= 0:
        room = start + int(len(to)) - at
        if room < most:
            most = room
    n = start
    while n < most and items[2 * n + 1] == 255:
        if at >= 0:
            d[at + n - start] = items[2 * n]
        n += 1
    return n - start
