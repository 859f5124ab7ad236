"""The machine-code twin of hal/rp2/rdm_in_words.py: the same function in viper."""

# ruff: noqa: F821  ptr8 is the viper compiler's

import micropython


@micropython.viper
def packet(ring, place: int, depth: int, to) -> int:
    items = ptr8(ring)
    out = ptr8(to)
    most = int(len(to))
    count = 0
    while count <= most:
        before = place - 1
        if before < 0:
            before = depth - 1
        if items[2 * before + 1] != 255:
            break
        place = before
        count += 1
    if count > most:
        return 0
    n = 0
    while n < count:
        out[n] = items[2 * place]
        place += 1
        if place == depth:
            place = 0
        n += 1
    return count
