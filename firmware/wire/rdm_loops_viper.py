"""The machine-code twin of firmware/wire/rdm_loops.py: the same functions in viper. They put nothing on the heap."""

# ruff: noqa: F821  ptr8 is the viper compiler's

import micropython


@micropython.viper
def checksum(data, length: int) -> int:
    d = ptr8(data)
    total = 0
    for n in range(length):
        total += d[n]
    return total & 0xFFFF


@micropython.viper
def difference(one, other, at: int, count: int) -> int:
    a = ptr8(one)
    b = ptr8(other)
    for n in range(count):
        d = a[n] - b[at + n]
        if d != 0:
            return d
    return 0


@micropython.viper
def copy(to, at: int, source, start: int, count: int):
    d = ptr8(to)
    s = ptr8(source)
    for n in range(count):
        d[at + n] = s[start + n]
