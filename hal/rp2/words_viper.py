"""The twin of hal/rp2/words.py for chips: the same functions in viper."""

# ruff: noqa: F821  ptr8 and ptr32 are the viper compiler's

import micropython


@micropython.viper
def copy(to, at: int, source, count: int):
    d = ptr8(to)
    s = ptr8(source)
    for n in range(count):
        d[at + n] = s[n]


@micropython.viper
def slots(ring, start: int, end: int, to, at: int) -> int:
    words = ptr32(ring)
    d = ptr8(to)
    most = end
    if at >= 0:
        room = start + int(len(to)) - at
        if room < most:
            most = room
    n = start
    while n < most:
        word = words[n]
        if (word >> 30) & 3 != 3:
            break
        if at >= 0:
            d[at + n - start] = word >> 22
        n += 1
    return n - start


@micropython.viper
def low(ring, at: int, depth: int, out):
    words = ptr32(ring)
    o = ptr32(out)
    began = words[(at + 1) % depth]
    rose = words[(at + 2) % depth]
    o[0] = began - rose
    o[1] = rose - words[(at + 3) % depth]
    o[2] = o[3] - began
    o[3] = began
    o[4] = (words[at] >> 22) & 1023
