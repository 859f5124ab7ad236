"""The tick's integer loops in plain Python: fades move on, and slots are made from them. Arrays: fields.py.

Called by the stage once a tick where blend_viper.py, the same in native code, is not to be had; a test holds the two
equal. Nothing here allocates on the chip: all values are small ints (below 2**30 but for one product, in `white`), all
stores are into the patch's arrays.
"""

from firmware.stage.fields import (
    AROUND,
    BIAS,
    COARSE,
    CURVE,
    FINE,
    FLAGS,
    FREE,
    KELVIN_A,
    KELVIN_B,
    LENGTH,
    LEVEL,
    LEVEL_A,
    LEVEL_B,
    MASTER,
    MODE,
    N_CHANNELS,
    N_FIXTURES,
    NOW,
    OWNER,
    S_CURVE,
    SCALED,
    SEGMENT,
    SEGMENTS,
    SHARE,
    START,
    STRIDE,
    T_LINE,
    T_WHITE,
    TABLE,
    WANTED,
    WHITE,
    WIDTH,
    A,
    B,
    U,
    mul16,
)


def share(done, whole):
    """done / whole as 0..65536, rounded. Both ms, up to 600,000."""
    done <<= 10
    return (done // whole << 6) + ((done % whole << 6) + (whole >> 1)) // whole


def soft(tables, at, u):
    """The S curve at u, 0..65536 both."""
    if u >= 65536:
        return 65536
    i = at + (u >> 8)
    v = tables[i] + ((tables[i + 1] - tables[i]) * (u & 255) + 128 >> 8)
    return v + (v >> 15)


def white(ka, kb, u):
    """Share of the way from ka to kb in kelvin, when u is the share in mired. ka, kb: 1..32767."""
    top = ka * u
    low = (kb * (65536 - u) + top + 512) >> 10
    t = top // low
    t = (t << 6) + (((top - t * low) << 6) + (low >> 1)) // low
    return min(t, 65536)


def move(par, fx, tables):
    """Bring every fixture to par[NOW]. Returns 1 if one has reached a segment that must be planned, else 0."""
    pending = 0
    now, master, mode = par[NOW], par[MASTER], par[MODE]
    for o in range(0, par[N_FIXTURES] * STRIDE, STRIDE):
        length = fx[o + LENGTH]
        if length:
            done = now - fx[o + START]
            if done >= length:
                fx[o + U] = 65536
                fx[o + LENGTH] = 0
            elif done > 0:
                fx[o + U] = share(done, length)
            else:
                fx[o + U] = 0
        u = fx[o + U]
        t = soft(tables, par[S_CURVE], u) if fx[o + CURVE] else u
        a = fx[o + LEVEL_A]
        level = a + mul16(fx[o + LEVEL_B] - a, t)
        fx[o + LEVEL] = level
        if mode:
            level = 65536 if mode == 1 else 0
        elif not fx[o + FREE]:
            level = mul16(level, master)
        fx[o + SHARE] = level
        n = fx[o + SEGMENTS]
        if n > 1:
            k = u * n
            fx[o + T_LINE] = k & 65535
            k >>= 16
            if k == n:
                k = n - 1
                fx[o + T_LINE] = 65536
            fx[o + WANTED] = k
            if k != fx[o + SEGMENT]:
                pending = 1
        else:
            fx[o + T_LINE] = u
        fx[o + T_WHITE] = white(fx[o + KELVIN_A], fx[o + KELVIN_B], u) if u < 65536 else u
    return pending


def compose(par, fx, ch, tables, frame):
    """Write every channel's slots into frame (bytearray of 512). Returns 1 if a slot changed, else 0."""
    changed = 0
    for p in range(0, par[N_CHANNELS] * WIDTH, WIDTH):
        flags, o = ch[p + FLAGS], ch[p + OWNER]
        t = fx[o + T_WHITE] if flags & WHITE else fx[o + T_LINE]
        a = ch[p + A]
        v = a + mul16(ch[p + B] - a, t) - BIAS
        if flags & AROUND:
            if v < 0:
                v += 65535
            elif v >= 65535:
                v -= 65535
        elif v < 0:
            v = 0
        elif v > 65535:
            v = 65535
        if flags & SCALED:
            v = mul16(v, fx[o + SHARE])
        i = ch[p + TABLE]
        if i and v:  # as light.curves.apply
            v += v >> 15
            s = 12 if v >= 16384 else 10 if v >= 4096 else 8 if v >= 1024 else 6 if v >= 256 else 4
            i += (v >> s) + 6 * s - 24
            v = tables[i] + ((tables[i + 1] - tables[i]) * (v & (1 << s) - 1) >> s)
        i = ch[p + FINE]
        if i:
            if frame[i - 1] != v & 255:
                frame[i - 1] = v & 255
                changed = 1
            v >>= 8
        else:
            v = v * 255 + 32768 >> 16
        i = ch[p + COARSE]
        if frame[i] != v:
            frame[i] = v
            changed = 1
    return changed
