"""The tick's integer loops in plain Python: fades move on, and slots are made from them. Arrays: fields.py.

Called by the stage once a tick where blend_viper.py, the same in native code, is not to be had; a test holds the two
equal. Nothing here allocates on the chip: all values are small ints (below 2**30 but for one product, in `white`), all
stores are into the patch's arrays.
"""

from firmware.stage.patch_fields import (
    ADDRESS,
    AROUND,
    BIAS,
    CHANNELS,
    CHANNELS_END,
    COARSE,
    CURVE,
    FINE,
    FIRST,
    FLAGS,
    FORM,
    FREE,
    HALF,
    KELVIN_A,
    KELVIN_B,
    LENGTH,
    LEVEL,
    LEVEL_A,
    LEVEL_B,
    MASTER,
    MODE,
    N_FIXTURES,
    NOW,
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


def soft(tables, u):
    """The S curve at u, 0..65536 both."""
    if u >= 65536:
        return 65536
    i = u >> 8
    v = tables[i] + ((tables[i + 1] - tables[i]) * (u & 255) + 128 >> 8)
    return v + (v >> 15)


def white(ka, kb, u):
    """Share of the way from ka to kb in kelvin, when u is the share in mired. ka, kb: 1..32767."""
    top = ka * u
    low = (kb * (65536 - u) + top + 512) >> 10
    t = top // low
    t = (t << 6) + (((top - t * low) << 6) + (low >> 1)) // low
    return min(t, 65536)


def inside(v, around):
    """A value beyond 0..65535: held at its end, or one turn around where it is a hue."""
    if around:
        return v + 65535 if v < 0 else v - 65535
    return 0 if v < 0 else 65535


def mapped(tables, i, v):
    """The drive for a light v, 1..65535, by the dimming map that begins at i: as light.curves.apply."""
    v += v >> 15
    s = 12 if v >= 16384 else 10 if v >= 4096 else 8 if v >= 1024 else 6 if v >= 256 else 4
    i += (v >> s) + 6 * s - 24
    return tables[i] + ((tables[i + 1] - tables[i]) * (v & (1 << s) - 1) >> s)


def move(par, fx, fh, tables):
    """Bring every fixture to par[NOW]. Returns 1 if one has reached a segment that must be planned, else 0."""
    pending = h = 0
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
        t = soft(tables, u) if fh[h + CURVE] else u
        a = fx[o + LEVEL_A]
        level = a + mul16(fx[o + LEVEL_B] - a, t)
        fx[o + LEVEL] = level
        if mode:
            level = 65536 if mode == 1 else 0
        elif not fh[h + FREE]:
            level = mul16(level, master)
        fx[o + SHARE] = level
        n = fh[h + SEGMENTS]
        if n > 1:
            k = u * n
            fx[o + T_LINE] = k & 65535
            k >>= 16
            if k == n:
                k = n - 1
                fx[o + T_LINE] = 65536
            fh[h + WANTED] = k
            if k != fh[h + SEGMENT]:
                pending = 1
        else:
            fx[o + T_LINE] = u
        fx[o + T_WHITE] = white(fh[h + KELVIN_A], fh[h + KELVIN_B], u) if u < 65536 else u
        h += HALF
    return pending


def compose(par, fx, fh, ch, tables, frame):
    """Write every channel's slots into frame (bytearray of 512). Returns 1 if a slot changed, else 0."""
    changed = o = 0
    for h in range(0, par[N_FIXTURES] * HALF, HALF):
        p, first = fh[h + FIRST], fh[h + ADDRESS]
        for k in range(fh[h + CHANNELS], fh[h + CHANNELS_END], FORM):
            flags = tables[k + FLAGS]
            t = fx[o + T_WHITE] if flags & WHITE else fx[o + T_LINE]
            a = ch[p + A]
            v = a + mul16(ch[p + B] - a, t) - BIAS
            p += fh[h + WIDTH]
            if not 0 <= v < 65535:
                v = inside(v, flags & AROUND)
            if flags & SCALED:
                v = mul16(v, fx[o + SHARE])
                if fh[h + TABLE] and v:
                    v = mapped(tables, fh[h + TABLE], v)
            i = tables[k + FINE]
            if i:
                i += first - 1
                if frame[i] != v & 255:
                    frame[i] = v & 255
                    changed = 1
                v >>= 8
            else:
                v = v * 255 + 32768 >> 16
            i = first + tables[k + COARSE]
            if frame[i] != v:
                frame[i] = v
                changed = 1
        o += STRIDE
    return changed
