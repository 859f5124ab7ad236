"""lag_loops.follow in native code, for chips that have an emitter. Imported by lags.py if it can be.

The numbers are those of lag_fields.py and patch_fields.py (viper folds only constants of its own module): a test holds
them equal.
"""

import micropython
from micropython import const

_ROW = const(5)
_SLOWEST = const(0)
_LIGHT = const(1)
_GONE = const(2)
_LATE_LIGHT = const(3)
_LATE_GONE = const(4)

_FADE = const(9)
_LEVEL = const(0)
_LEVEL_FROM = const(3)
_LEVEL_TO = const(4)
_DONE = const(5)
_START = const(6)
_LENGTH = const(7)
_SETUP = const(24)
_CURVE = const(5)
_SLOWED = const(2)


@micropython.viper
def follow(now: int, past: int, rows: ptr32, fades: ptr32, setups: ptr16, tables: ptr16, end: int):  # noqa: F821, C901
    """As lag_loops.follow."""
    k = 0
    o = 0
    h = 0
    while k < end:
        slowest = rows[k + _SLOWEST]
        curve = int(setups[h + _CURVE])
        length = fades[o + _LENGTH]
        if slowest and (length == 0 or curve & _SLOWED == 0):
            rows[k + _SLOWEST] = 0
        elif slowest:
            done = now - fades[o + _START]
            u = 0
            if done >= length:
                u = 65536
            elif done > 0:
                u = done << 10
                u = (u // length << 6) + ((u % length << 6) + (length >> 1)) // length
            t = u
            if curve & 1 and u < 65536:
                i = u >> 8
                t = int(tables[i]) + ((int(tables[i + 1]) - int(tables[i])) * (u & 255) + 128 >> 8)
                t += t >> 15
            to = fades[o + _LEVEL_TO]
            light = fades[o + _LEVEL_FROM] << 4
            d = (to << 4) - light
            light += (d * (t >> 8) + (d * (t & 255) >> 8) + 128) >> 8
            gone = (light * (u >> 8) + (light * (u & 255) >> 8) + 128) >> 8
            t = (past << 16) // (slowest + (past >> 1))
            if t > 65536:
                t = 65536
            late = rows[k + _LATE_LIGHT]
            d = (rows[k + _LIGHT] + light >> 1) - late
            late += (d * (t >> 8) + (d * (t & 255) >> 8) + 128) >> 8
            rows[k + _LATE_LIGHT] = late
            rows[k + _LIGHT] = light
            i = rows[k + _LATE_GONE]
            d = (rows[k + _GONE] + gone >> 1) - i
            i += (d * (t >> 8) + (d * (t & 255) >> 8) + 128) >> 8
            rows[k + _LATE_GONE] = i
            rows[k + _GONE] = gone
            t = curve >> 2 << 2
            d = light - late
            light = late + ((d * (t >> 8) + (d * (t & 255) >> 8) + 128) >> 8)
            d = gone - i
            gone = i + ((d * (t >> 8) + (d * (t & 255) >> 8) + 128) >> 8)
            if light > 0:
                gone <<= 8
                t = gone // light
                u = (t << 8) + ((gone - t * light) << 8) // light
            d = light - (to << 4)
            if d < 0:
                d = 0 - d
            t = done - length
            if t >= 0 and (d < (to >> 4) + 256 and u > 65280 or t > slowest << 3):
                fades[o + _DONE] = 65536
                fades[o + _LENGTH] = 0
                rows[k + _SLOWEST] = 0
                fades[o + _LEVEL] = to
                setups[h + _CURVE] = curve & 1
            else:
                if u > 65535:
                    u = 65535
                if u > fades[o + _DONE]:
                    fades[o + _DONE] = u
                fades[o + _LEVEL] = light + 8 >> 4
        k += _ROW
        o += _FADE
        h += _SETUP
