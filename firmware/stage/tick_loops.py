"""The tick's integer loops in plain Python: fades move on, and slots are made from them. The arrays: patch_fields.py.

Called by the stage once a tick where tick_loops_viper.py, the same in native code, cannot be loaded; a test holds the
two equal. Nothing here allocates on the chip: all values are small ints (below 2**30 but for one product, in `white`),
all stores are into the patch's arrays.
"""

from firmware.stage.patch_fields import (
    ADDRESS,
    AHEAD,
    AT_END,
    BIAS,
    CHANGES,
    CHANNEL_WIDTH,
    CHANNELS_AT,
    COARSE,
    CURVE,
    CURVE_AT,
    DARK,
    DONE,
    DUV_BIAS,
    END,
    EXEMPT,
    FADE,
    FINE,
    FLAGS,
    FORM,
    FORM_AT,
    FORM_END,
    FROM,
    KELVIN_FROM,
    KELVIN_TO,
    LATE,
    LENGTH,
    LEVEL,
    LEVEL_FROM,
    LEVEL_TO,
    LIGHT_FROM,
    LIGHT_TO,
    MASTER,
    MODE,
    N_FIXTURES,
    NEVER,
    NEXT,
    NOTHING,
    NOW,
    OUTPUT,
    PLACE,
    PLAIN_WAITS,
    SCALED,
    SEGMENT,
    SEGMENTS,
    SETUP,
    SLOWED,
    SNAPS,
    START,
    TO,
    WAITS,
    WHITE,
    WHITE_PLACE,
    WRAPS,
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
    """How far a white has gone from ka to kb in kelvin, 0..65536, when it has gone u in mired. ka, kb: 1..32767."""
    top = ka * u
    low = (kb * (65536 - u) + top + 512) >> 10
    t = top // low
    t = (t << 6) + (((top - t * low) << 6) + (low >> 1)) // low
    return min(t, 65536)


def inside(v, wraps):
    """A value beyond 0..65535: held at the nearer end, or, where it is a hue, once around the circle."""
    if wraps:
        return v + 65535 if v < 0 else v - 65535
    return 0 if v < 0 else 65535


def mapped(tables, i, v):
    """The drive for a light v, 1..65535, by the dimming map that begins at i: as light.curves.apply."""
    v += v >> 15
    s = 12 if v >= 16384 else 10 if v >= 4096 else 8 if v >= 1024 else 6 if v >= 256 else 4
    i += (v >> s) + 6 * s - 24
    return tables[i] + ((tables[i + 1] - tables[i]) * (v & (1 << s) - 1) >> s)


def move(common, fades, setups, channels, tables):
    """Bring every fixture to common[NOW]. Returns what is most urgently to be worked out (patch_fields.py), with the
    place of the first fixture that needs it added; NOTHING where all is."""
    task = h = 0
    now, master, mode = common[NOW], common[MASTER], common[MODE]
    for o in range(0, common[N_FIXTURES] * FADE, FADE):
        length, curve = fades[o + LENGTH], setups[h + CURVE]
        if length and not curve & SLOWED:
            done = now - fades[o + START]
            if done >= length:
                fades[o + DONE] = 65536
                fades[o + LENGTH] = 0
            elif done > 0:
                fades[o + DONE] = share(done, length)
            else:
                fades[o + DONE] = 0
        u = fades[o + DONE]
        if not curve & SLOWED:
            a = fades[o + LEVEL_FROM]
            fades[o + LEVEL] = a + mul16(fades[o + LEVEL_TO] - a, soft(tables, u) if curve else u)
        level = fades[o + LEVEL]
        exempt = setups[h + EXEMPT]
        if mode and (mode < 3 or exempt >= DARK):
            level = 65536 if mode == 1 else 0
        elif not exempt & 1:
            level = mul16(level, master)
        fades[o + OUTPUT] = level
        due = _segment(fades, setups, channels, o, h)
        if due > task:
            task = due + h // SETUP
        h += SETUP
    return task


def _segment(fades, setups, channels, o, h):
    """Bring a fixture to its place in the segment -> what is to be worked out for it."""
    n, p, u = setups[h + SEGMENTS], setups[h + CHANNELS_AT], fades[o + DONE]
    if n == 0:
        if fades[o + START] == NEVER and channels[p + END]:
            return NOTHING
        return PLAIN_WAITS if setups[h + CHANNEL_WIDTH] == 3 else WAITS
    due, at, s = 0, u, setups[h + SEGMENT]
    if n > 1:
        k = u * n
        at = k & 65535
        k >>= 16
        if k == n:
            k, at = n - 1, 65536
        if k != s:
            if u == 65536 and channels[p + END]:
                s = _take(setups, channels, h, END, k)
            elif k == s + 1 and channels[p + NEXT]:
                s = _take(setups, channels, h, NEXT, k)
            else:
                due, at = LATE, 65536 if k > s else 0
        if not due and fades[o + LENGTH] and s + 2 <= n and not channels[p + NEXT]:
            due = AHEAD
    fades[o + PLACE] = at
    fades[o + WHITE_PLACE] = white(setups[h + KELVIN_FROM], setups[h + KELVIN_TO], u) if u < 65536 else u
    if due <= AHEAD and not channels[p + END] and (fades[o + LENGTH] or u == 65536):
        due = AT_END
    return due


def _take(setups, channels, h, field, k):
    """Segment k begins: its channels go from where they are to a field of theirs -> k."""
    p, width = setups[h + CHANNELS_AT], setups[h + CHANNEL_WIDTH]
    for _ in range(setups[h + FORM_AT], setups[h + FORM_END], FORM):
        channels[p + FROM] = channels[p + TO]
        channels[p + TO] = channels[p + field]
        if field == NEXT:
            channels[p + NEXT] = 0
        p += width
    setups[h + SEGMENT] = k
    return k


def aim(fades, setups, channels, i, light, start, length, curve):
    """Send fixture i to a light, from the one at which it stands or, in mid-fade, from what fade.py has set. Its level
    moves; in its colour it waits."""
    o, h = i * FADE, i * SETUP
    if fades[o + DONE] == 65536:
        fades[o + LEVEL_FROM] = fades[o + LEVEL_TO]
        for k in range(5):
            setups[h + LIGHT_FROM + k] = setups[h + LIGHT_TO + k]
    fades[o + LEVEL_TO] = light[0]
    for k in range(5):
        setups[h + LIGHT_TO + k] = light[k + 1] + (DUV_BIAS if k == 1 else 0)
    fades[o + START], fades[o + LENGTH], fades[o + DONE] = start, length, 0
    setups[h + CURVE], setups[h + SEGMENTS], setups[h + SEGMENT] = curve, 0, 0
    setups[h + CHANGES] = setups[h + CHANGES] + 1 & 65535
    channels[setups[h + CHANNELS_AT] + END] = 0


def steer(fades, setups, channels, tables, i, field, away, white_away, later):
    """Fixture i goes on from the colour that it shows to that which lies in a field of its channels. away, white_away:
    how far that is, in 1/65536 of a segment, for channels that move by PLACE and by WHITE_PLACE; what is nearer than an
    eighth is there at once, as it would race. later: whole segments between the end of this one and there."""
    o, h = i * FADE, i * SETUP
    p, width = setups[h + CHANNELS_AT], setups[h + CHANNEL_WIDTH]
    snaps = SNAPS if setups[h + LIGHT_FROM + 3] and setups[h + LIGHT_FROM + 4] else SNAPS | WRAPS  # a white has no hue
    for form in range(setups[h + FORM_AT], setups[h + FORM_END], FORM):
        flags = tables[form + FLAGS]
        v = channels[p + FROM]
        v += mul16(channels[p + TO] - v, fades[o + (WHITE_PLACE if flags & WHITE else PLACE)])
        if flags & WRAPS and not 0 <= v - BIAS < 65535:
            v = BIAS + inside(v - BIAS, True)
        d = channels[p + field] - v
        if flags & WRAPS:
            d += 65535 if d < -32767 else -65535 if d > 32767 else 0
        to = v + d
        if width > NEXT:
            channels[p + NEXT] = to if later else 0
        f = white_away if flags & WHITE else away
        slope = 0 if f < 8192 or flags & snaps else (d << 8) // (f >> 8)
        channels[p + TO] = to - slope * later
        channels[p + FROM] = channels[p + TO] - slope
        p += width


def compose(common, fades, setups, channels, tables, frame):
    """Write every channel's slots into the frame. Returns 1 if a slot changed, else 0."""
    changed = o = h = 0
    for _ in range(common[N_FIXTURES]):
        p, first = setups[h + CHANNELS_AT], setups[h + ADDRESS]
        k = setups[h + FORM_AT]
        while k < setups[h + FORM_END]:  # a range with a step that is no literal would be on the heap
            flags = tables[k + FLAGS]
            t = fades[o + WHITE_PLACE] if flags & WHITE else fades[o + PLACE]
            a = channels[p + FROM]
            v = a + mul16(channels[p + TO] - a, t) - BIAS
            p += setups[h + CHANNEL_WIDTH]
            if not 0 <= v < 65535:
                v = inside(v, flags & WRAPS)
            if flags & SCALED:
                v = mul16(v, fades[o + OUTPUT])
                if setups[h + CURVE_AT] and v:
                    v = mapped(tables, setups[h + CURVE_AT], v)
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
            k += FORM
        o += FADE
        h += SETUP
    return changed
