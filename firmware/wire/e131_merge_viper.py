"""The highest of two sources, slot by slot, in machine code: what e131_merge.py does."""

import micropython


@micropython.viper
def highest(into: ptr8, other: ptr8, count: int):  # noqa: F821
    """As e131_merge.highest."""
    for n in range(count):
        if other[n] > into[n]:
            into[n] = other[n]
