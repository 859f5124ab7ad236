"""effect_loops in native code, for chips that have an emitter. Imported by effects.py if it can be.

The numbers are those of flash_rows.py and patch_fields.py (viper folds only constants of its own module): a test holds
them equal.
"""

import micropython
from micropython import const

_AWAY = const(8)
_FADE = const(9)
_LEVEL = const(0)
_OUTPUT = const(8)
_SETUP = const(24)
_EXEMPT = const(6)
_DARK = const(2)
_MASTER = const(2)
_MODE = const(3)


@micropython.viper
def begin(fades: ptr32, levels: ptr32, n: int):  # noqa: F821  viper's pointers
    """As effect_loops.begin."""
    k = 0
    o = 0
    while k < n:
        levels[k] = fades[o + _LEVEL]
        o += _FADE
        k += 1


@micropython.viper
def mix(levels: ptr32, lamps: ptr32, values: ptr32, runs: int, gain: int, adds: int, n: int):  # noqa: F821
    """As effect_loops.mix."""
    k = 0
    run = 0
    while k < n:
        v = values[run]
        if not adds:
            v = 65536 - v
        v = (gain * (v >> 8) + (gain * (v & 255) >> 8) + 128) >> 8
        i = lamps[k]
        level = levels[i]
        if adds:
            d = 65536 - level
            level += (d * (v >> 8) + (d * (v & 255) >> 8) + 128) >> 8
        else:
            level -= (level * (v >> 8) + (level * (v & 255) >> 8) + 128) >> 8
        levels[i] = level
        run += 1
        if run == runs:
            run = 0
        k += 1


@micropython.viper
def hold(fades: ptr32, kept: ptr32, levels: ptr32, n: int):  # noqa: F821
    """As effect_loops.hold."""
    k = 0
    o = 0
    while k < n:
        level = fades[o + _LEVEL] + kept[k] - 65536
        if level < 0:
            level = 0
        elif level > 65536:
            level = 65536
        levels[k] = level
        o += _FADE
        k += 1


@micropython.viper
def put(common: ptr32, fades: ptr32, setups: ptr16, acts: ptr8, levels: ptr32, n: int):  # noqa: F821
    """As effect_loops.put."""
    mode = common[_MODE]
    if mode != 0 and mode < 3:
        return
    master = common[_MASTER]
    k = 0
    while k < n:
        free = int(setups[k * _SETUP + _EXEMPT])
        if acts[k] and (mode == 0 or free < _DARK):
            level = levels[k]
            if free & 1 == 0:
                level = (level * (master >> 8) + (level * (master & 255) >> 8) + 128) >> 8
            fades[k * _FADE + _OUTPUT] = level
        k += 1


@micropython.viper
def away(fades: ptr32, levels: ptr32, kept: ptr32, marks: ptr8, n: int):  # noqa: F821
    """As effect_loops.away."""
    k = 0
    while k < n:
        if marks[k]:
            d = levels[k] - fades[k * _FADE + _LEVEL]
            was = kept[k] - 65536
            if d < 0:
                d = 0 - d
            if was < 0:
                was = 0 - was
            if d >= was:
                marks[k] = int(marks[k]) | _AWAY
        k += 1


@micropython.viper
def keep(fades: ptr32, levels: ptr32, kept: ptr32, marks: ptr8, mask: int, n: int):  # noqa: F821
    """As effect_loops.keep."""
    k = 0
    while k < n:
        if not int(marks[k]) & mask:
            kept[k] = levels[k] - fades[k * _FADE + _LEVEL] + 65536
        k += 1
