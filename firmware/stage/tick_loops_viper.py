"""tick_loops.move and tick_loops.compose in native code, for chips that have an emitter. Imported by stage.py if it can
be.

The numbers are those of patch_fields.py (viper folds only constants of its own module): a test holds them equal.
"""

import micropython
from micropython import const

_N_FIXTURES = const(0)
_NOW = const(1)
_MASTER = const(2)
_MODE = const(3)

_FADE = const(9)
_LEVEL = const(0)
_PLACE = const(1)
_WHITE_PLACE = const(2)
_LEVEL_FROM = const(3)
_LEVEL_TO = const(4)
_DONE = const(5)
_START = const(6)
_LENGTH = const(7)
_OUTPUT = const(8)

_SETUP = const(24)
_KELVIN_FROM = const(0)
_KELVIN_TO = const(1)
_SEGMENTS = const(2)
_SEGMENT = const(3)
_CURVE = const(5)
_EXEMPT = const(6)
_DARK = const(2)
_ADDRESS = const(7)
_CHANNELS_AT = const(8)
_CHANNEL_WIDTH = const(9)
_FORM_AT = const(10)
_FORM_END = const(11)
_CURVE_AT = const(12)
_CHANGES = const(13)
_LIGHT_FROM = const(14)
_LIGHT_TO = const(19)

_FROM = const(0)
_TO = const(1)
_END = const(2)
_NEXT = const(3)

_FORM = const(3)
_COARSE = const(0)
_FINE = const(1)
_FLAGS = const(2)

_SCALED = const(1)
_WHITE = const(2)
_WRAPS = const(4)
_SNAPS = const(8)

_PLAIN_WAITS = const(5120)
_WAITS = const(4096)
_LATE = const(3072)
_AHEAD = const(1024)
_AT_END = const(2048)

_SLOWED = const(2)
_NEVER = const((1 << 30) - 1)
_BIAS = const(1 << 20)
_DUV_BIAS = const(1 << 15)


@micropython.viper
def move(common: ptr32, fades: ptr32, setups: ptr16, channels: ptr32, tables: ptr16) -> int:  # noqa: F821, C901  viper's pointers, no calls
    """As tick_loops.move."""
    task = 0
    place = 0
    now = common[_NOW]
    master = common[_MASTER]
    mode = common[_MODE]
    o = 0
    h = 0
    end = common[_N_FIXTURES] * _FADE
    while o < end:
        length = fades[o + _LENGTH]
        s = int(setups[h + _CURVE])
        if length and s & _SLOWED == 0:
            done = now - fades[o + _START]
            if done >= length:
                fades[o + _DONE] = 65536
                fades[o + _LENGTH] = 0
                length = 0
            elif done > 0:
                done <<= 10
                fades[o + _DONE] = (done // length << 6) + ((done % length << 6) + (length >> 1)) // length
            else:
                fades[o + _DONE] = 0
        u = fades[o + _DONE]
        level = fades[o + _LEVEL]
        if s & _SLOWED == 0:
            t = u
            if s and u < 65536:
                i = u >> 8
                t = int(tables[i]) + ((int(tables[i + 1]) - int(tables[i])) * (u & 255) + 128 >> 8)
                t += t >> 15
            level = fades[o + _LEVEL_FROM]
            d = fades[o + _LEVEL_TO] - level
            level += (d * (t >> 8) + (d * (t & 255) >> 8) + 128) >> 8
            fades[o + _LEVEL] = level
        s = int(setups[h + _EXEMPT])
        if mode and (mode < 3 or s >= _DARK):
            level = 65536 if mode == 1 else 0
        elif s & 1 == 0:
            level = (level * (master >> 8) + (level * (master & 255) >> 8) + 128) >> 8
        fades[o + _OUTPUT] = level
        n = int(setups[h + _SEGMENTS])
        p = int(setups[h + _CHANNELS_AT])
        due = 0
        if n == 0:
            if fades[o + _START] != _NEVER or channels[p + _END] == 0:
                due = _PLAIN_WAITS if int(setups[h + _CHANNEL_WIDTH]) == 3 else _WAITS
        else:
            t = u
            if n > 1:
                s = int(setups[h + _SEGMENT])
                k = u * n
                t = k & 65535
                k >>= 16
                if k == n:
                    k = n - 1
                    t = 65536
                if k != s:
                    d = 0
                    if u == 65536 and channels[p + _END]:
                        d = _END
                    elif k == s + 1 and channels[p + _NEXT]:
                        d = _NEXT
                    if d:
                        s = k
                        setups[h + _SEGMENT] = s
                        i = int(setups[h + _FORM_AT])
                        k = p
                        while i < int(setups[h + _FORM_END]):
                            channels[k + _FROM] = channels[k + _TO]
                            channels[k + _TO] = channels[k + d]
                            if d == _NEXT:
                                channels[k + _NEXT] = 0
                            k += int(setups[h + _CHANNEL_WIDTH])
                            i += _FORM
                    else:
                        due = _LATE
                        t = 65536 if k > s else 0
                if due == 0 and length and s + 2 <= n and channels[p + _NEXT] == 0:
                    due = _AHEAD
            fades[o + _PLACE] = t
            t = 65536
            if u < 65536:
                top = int(setups[h + _KELVIN_FROM]) * u
                low = (int(setups[h + _KELVIN_TO]) * (65536 - u) + top + 512) >> 10
                t = top // low
                t = (t << 6) + (((top - t * low) << 6) + (low >> 1)) // low
                if t > 65536:
                    t = 65536
            fades[o + _WHITE_PLACE] = t
            if due <= _AHEAD and channels[p + _END] == 0 and (length or u == 65536):
                due = _AT_END
        if due > task:
            task = due + place
        place += 1
        o += _FADE
        h += _SETUP
    return task


@micropython.viper
def aim(fades: ptr32, setups: ptr16, channels: ptr32, i: int, light, start: int, length: int, curve: int):  # noqa: F821
    """As tick_loops.aim."""
    o = i * _FADE
    h = i * _SETUP
    if fades[o + _DONE] == 65536:
        fades[o + _LEVEL_FROM] = fades[o + _LEVEL_TO]
        i = 0
        while i < 5:
            setups[h + i + _LIGHT_FROM] = setups[h + i + _LIGHT_TO]
            i += 1
    fades[o + _LEVEL_TO] = int(light[0])
    i = 0
    while i < 5:
        setups[h + i + _LIGHT_TO] = int(light[i + 1])
        i += 1
    setups[h + _LIGHT_TO + 1] = int(setups[h + _LIGHT_TO + 1]) + _DUV_BIAS
    fades[o + _START] = start
    fades[o + _LENGTH] = length
    fades[o + _DONE] = 0
    setups[h + _CURVE] = curve
    setups[h + _SEGMENTS] = 0
    setups[h + _SEGMENT] = 0
    setups[h + _CHANGES] = int(setups[h + _CHANGES]) + 1
    channels[int(setups[h + _CHANNELS_AT]) + _END] = 0


@micropython.viper
def steer(fades: ptr32, setups: ptr16, channels: ptr32, tables: ptr16, i: int, field: int, away: int, white_away: int, later: int):  # noqa: F821, E501
    """As tick_loops.steer."""
    o = i * _FADE
    h = i * _SETUP
    p = int(setups[h + _CHANNELS_AT])
    form = int(setups[h + _FORM_AT])
    snaps = _SNAPS
    if int(setups[h + _LIGHT_FROM + 3]) == 0 or int(setups[h + _LIGHT_FROM + 4]) == 0:
        snaps |= _WRAPS
    while form < int(setups[h + _FORM_END]):
        flags = int(tables[form + _FLAGS])
        t = fades[o + _PLACE]
        f = away
        if flags & _WHITE:
            t = fades[o + _WHITE_PLACE]
            f = white_away
        v = channels[p]
        d = channels[p + _TO] - v
        v += (d * (t >> 8) + (d * (t & 255) >> 8) + 128) >> 8
        if flags & _WRAPS:
            if v < _BIAS:
                v += 65535
            elif v >= _BIAS + 65535:
                v -= 65535
        t = channels[p + field]
        d = t - v
        if flags & _WRAPS:
            if d < -32767:
                d += 65535
            elif d > 32767:
                d -= 65535
        t = v + d
        if int(setups[h + _CHANNEL_WIDTH]) > _NEXT:
            channels[p + _NEXT] = t if later else 0
        d = (d << 8) // (f >> 8) if f > 8191 else 0
        if flags & snaps:
            d = 0
        t -= d * later
        channels[p + _TO] = t
        channels[p] = t - d
        p += int(setups[h + _CHANNEL_WIDTH])
        form += _FORM


@micropython.viper
def compose(common: ptr32, fades: ptr32, setups: ptr16, channels: ptr32, tables: ptr16, frame: ptr8) -> int:  # noqa: F821, C901
    """As tick_loops.compose."""
    changed = 0
    o = 0
    h = 0
    last = common[_N_FIXTURES] * _FADE
    while o < last:
        p = int(setups[h + _CHANNELS_AT])
        first = int(setups[h + _ADDRESS])
        k = int(setups[h + _FORM_AT])
        end = int(setups[h + _FORM_END])
        while k < end:
            flags = int(tables[k + _FLAGS])
            t = fades[o + _WHITE_PLACE] if flags & _WHITE else fades[o + _PLACE]
            v = channels[p + _FROM]
            d = channels[p + _TO] - v
            v += ((d * (t >> 8) + (d * (t & 255) >> 8) + 128) >> 8) - _BIAS
            p += int(setups[h + _CHANNEL_WIDTH])
            if flags & _WRAPS:
                if v < 0:
                    v += 65535
                elif v >= 65535:
                    v -= 65535
            elif v < 0:
                v = 0
            elif v > 65535:
                v = 65535
            if flags & _SCALED:
                t = fades[o + _OUTPUT]
                v = (v * (t >> 8) + (v * (t & 255) >> 8) + 128) >> 8
                i = int(setups[h + _CURVE_AT])
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
        o += _FADE
        h += _SETUP
    return changed
