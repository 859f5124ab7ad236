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


@micropython.viper
def detents(ring, first: int, count: int, depth: int, state, steps, per: int) -> int:
    pushed = ptr8(ring)
    held = ptr8(state)
    table = ptr8(steps)
    old = held[0]
    quarters = held[1] - 128
    found = 0
    n = first
    while count > 0:
        samples = pushed[n]
        n += 1
        if n == depth:
            n = 0
        count -= 1
        if old > 3:
            old = samples >> 6
        if samples == old * 85:
            continue
        shift = 6
        while shift >= 0:
            new = samples >> shift & 3
            quarters += table[old * 4 + new] - 1
            old = new
            if new == 3 or (new == 0 and per == 2):
                if quarters >= 0:
                    found += (quarters + (per >> 1)) // per
                else:
                    found -= ((per >> 1) - quarters) // per
                quarters = 0
            shift -= 2
    held[0] = old
    held[1] = quarters + 128
    return found
