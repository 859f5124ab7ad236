"""blend.move and blend.compose in native code, for chips that have an emitter. Imported by stage.py if it can be.

The numbers are those of fields.py (viper folds only constants of its own module): a test holds them equal.
"""

import micropython
from micropython import const

_N_FIXTURES = const(0)
_NOW = const(1)
_MASTER = const(2)
_MODE = const(3)

_STRIDE = const(9)
_LEVEL = const(0)
_T_LINE = const(1)
_T_WHITE = const(2)
_LEVEL_A = const(3)
_LEVEL_B = const(4)
_U = const(5)
_START = const(6)
_LENGTH = const(7)
_SHARE = const(8)

_HALF = const(24)
_KELVIN_A = const(0)
_KELVIN_B = const(1)
_SEGMENTS = const(2)
_SEGMENT = const(3)
_WANTED = const(4)
_CURVE = const(5)
_FREE = const(6)
_ADDRESS = const(7)
_FIRST = const(8)
_WIDTH = const(9)
_CHANNELS = const(10)
_CHANNELS_END = const(11)
_TABLE = const(12)

_A = const(0)
_B = const(1)

_FORM = const(3)
_COARSE = const(0)
_FINE = const(1)
_FLAGS = const(2)

_SCALED = const(1)
_WHITE = const(2)
_AROUND = const(4)
_BIAS = const(1 << 20)


@micropython.viper
def move(par: ptr32, fx: ptr32, fh: ptr16, tables: ptr16) -> int:  # noqa: F821, C901  viper's pointers, no calls
    """As blend.move."""
    pending = 0
    now = par[_NOW]
    master = par[_MASTER]
    mode = par[_MODE]
    o = 0
    h = 0
    end = par[_N_FIXTURES] * _STRIDE
    while o < end:
        length = fx[o + _LENGTH]
        if length:
            done = now - fx[o + _START]
            if done >= length:
                fx[o + _U] = 65536
                fx[o + _LENGTH] = 0
            elif done > 0:
                done <<= 10
                fx[o + _U] = (done // length << 6) + ((done % length << 6) + (length >> 1)) // length
            else:
                fx[o + _U] = 0
        u = fx[o + _U]
        t = u
        if fh[h + _CURVE] and u < 65536:
            i = u >> 8
            t = int(tables[i]) + ((int(tables[i + 1]) - int(tables[i])) * (u & 255) + 128 >> 8)
            t += t >> 15
        level = fx[o + _LEVEL_A]
        d = fx[o + _LEVEL_B] - level
        level += (d * (t >> 8) + (d * (t & 255) >> 8) + 128) >> 8
        fx[o + _LEVEL] = level
        if mode:
            level = 65536 if mode == 1 else 0
        elif not fh[h + _FREE]:
            level = (level * (master >> 8) + (level * (master & 255) >> 8) + 128) >> 8
        fx[o + _SHARE] = level
        n = int(fh[h + _SEGMENTS])
        t = u
        if n > 1:
            k = u * n
            t = k & 65535
            k >>= 16
            if k == n:
                k = n - 1
                t = 65536
            fh[h + _WANTED] = k
            if k != int(fh[h + _SEGMENT]):
                pending = 1
        fx[o + _T_LINE] = t
        t = 65536
        if u < 65536:
            top = int(fh[h + _KELVIN_A]) * u
            low = (int(fh[h + _KELVIN_B]) * (65536 - u) + top + 512) >> 10
            t = top // low
            t = (t << 6) + (((top - t * low) << 6) + (low >> 1)) // low
            if t > 65536:
                t = 65536
        fx[o + _T_WHITE] = t
        o += _STRIDE
        h += _HALF
    return pending


@micropython.viper
def compose(par: ptr32, fx: ptr32, fh: ptr16, ch: ptr32, tables: ptr16, frame: ptr8) -> int:  # noqa: F821, C901
    """As blend.compose."""
    changed = 0
    o = 0
    h = 0
    last = par[_N_FIXTURES] * _STRIDE
    while o < last:
        p = int(fh[h + _FIRST])
        first = int(fh[h + _ADDRESS])
        k = int(fh[h + _CHANNELS])
        end = int(fh[h + _CHANNELS_END])
        while k < end:
            flags = int(tables[k + _FLAGS])
            t = fx[o + _T_WHITE] if flags & _WHITE else fx[o + _T_LINE]
            v = ch[p + _A]
            d = ch[p + _B] - v
            v += ((d * (t >> 8) + (d * (t & 255) >> 8) + 128) >> 8) - _BIAS
            p += int(fh[h + _WIDTH])
            if flags & _AROUND:
                if v < 0:
                    v += 65535
                elif v >= 65535:
                    v -= 65535
            elif v < 0:
                v = 0
            elif v > 65535:
                v = 65535
            if flags & _SCALED:
                t = fx[o + _SHARE]
                v = (v * (t >> 8) + (v * (t & 255) >> 8) + 128) >> 8
                i = int(fh[h + _TABLE])
                if i and v:
                    v += v >> 15
                    s = 4
                    if v >= 16384:
                        s = 12
                    elif v >= 4096:
                        s = 10
                    elif v >= 1024:
                        s = 8
                    elif v >= 256:
                        s = 6
                    i += (v >> s) + 6 * s - 24
                    d = int(tables[i])
                    v = d + ((int(tables[i + 1]) - d) * (v & (1 << s) - 1) >> s)
            i = int(tables[k + _FINE])
            if i:
                i += first - 1
                if int(frame[i]) != v & 255:
                    frame[i] = v & 255
                    changed = 1
                v >>= 8
            else:
                v = v * 255 + 32768 >> 16
            i = first + int(tables[k + _COARSE])
            if int(frame[i]) != v:
                frame[i] = v
                changed = 1
            k += _FORM
        o += _STRIDE
        h += _HALF
    return changed
