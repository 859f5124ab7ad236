"""One fixture's way from light to light, set into the patch's arrays. Called by the stage; the tick then runs alone.

Parameter channels are straight lines in the right variable (level, mired, degrees), so two ends are exact. Emitter
drives are not: a keyed fixture gets up to 64 equal segments, exact at each knot and straight in light between.
"""

from firmware.show import resolve
from firmware.show.personality import CCT, DUV, HUE, LEVEL, MIX, PARAMS, SAT, SCALE
from firmware.stage import patch_fields as fields

_SEGMENT_MS = 100
_KNOT_MS = 20  # what one keyframe may cost of a segment, so that a rig full of emitter lamps is still in time
_MOST = 64


def keyed(fixture):
    """True for a fixture whose slots are not straight lines between two lights: fades need keyframes."""
    return bool(fixture.personality.emitters) or "white" in fixture.trims


def light(patch, i, end):
    """Where fixture i comes from (end: LIGHT_A) or goes to (LIGHT_B): (six ints, extras)."""
    b, fh, h = end == fields.LIGHT_B, patch.fh, i * fields.HALF + end
    level = patch.fx[i * fields.STRIDE + (fields.LEVEL_B if b else fields.LEVEL_A)]
    six = [level, fh[h], fh[h + 1] - fields.DUV_BIAS, fh[h + 2], fh[h + 3], fh[h + 4]]
    return six, patch.extras[i][b] if i in patch.extras else {}


def keep(patch, i, a, b):
    """Keep both ends of fixture i, for `light`."""
    o, fh = i * fields.STRIDE, patch.fh
    patch.fx[o + fields.LEVEL_A], patch.fx[o + fields.LEVEL_B] = a[0][LEVEL], b[0][LEVEL]
    for end, six in ((fields.LIGHT_A, a[0]), (fields.LIGHT_B, b[0])):
        h = i * fields.HALF + end
        fh[h], fh[h + 1], fh[h + 2], fh[h + 3], fh[h + 4] = six[1], six[2] + fields.DUV_BIAS, six[3], six[4], six[5]
    if a[1] or b[1]:
        patch.extras[i] = a[1], b[1]
    else:
        patch.extras.pop(i, None)
    turn(patch, i)


def turn(patch, i):
    """Fixture i is dialled or sent elsewhere: effects.py looks for that."""
    h = i * fields.HALF + fields.WAY
    patch.fh[h] = patch.fh[h] + 1 & 65535


def channels(patch, i):
    """Where the channels of fixture i begin in ch: a range."""
    fh, h = patch.fh, i * fields.HALF
    count = (fh[h + fields.CHANNELS_END] - fh[h + fields.CHANNELS]) // fields.FORM
    first, width = fh[h + fields.FIRST], fh[h + fields.WIDTH]
    return range(first, first + count * width, width)


def settle(patch, i):
    """The channels of fixture i begin where they end."""
    ch = patch.ch
    for p in channels(patch, i):
        ch[p + fields.A] = ch[p + fields.B]


def between(a, b, u):
    """The light at u (0..65536) of the way from a to b: lists of six ints. White in mired, hue the short way."""
    if u >= 65536:
        return list(b)
    out = [x + (y - x) * u // 65536 for x, y in zip(a, b)]
    out[CCT] = int(65536 * a[CCT] * b[CCT] / (b[CCT] * (65536 - u) + a[CCT] * u) + 0.5)
    hue_a, hue_b = hues(a, b)
    out[HUE] = (hue_a + (hue_b - hue_a) * u // 65536) % 36000
    return out


def hues(a, b):
    """Hue at both ends, at most half a turn apart. A white end has no hue: it takes the other's."""
    hue_a, hue_b = a[HUE], b[HUE]
    if not (a[SAT] and a[MIX]):
        return hue_b, hue_b
    if not (b[SAT] and b[MIX]):
        return hue_a, hue_a
    return hue_a, hue_a + (hue_b - hue_a + 54000) % 36000 - 18000


def begin(patch, i, fixture, a, b, start, length, curve):
    """Set fixture i moving from (light, extras) a to b, in ms of the stage's time; length 0: at once."""
    fx, o, fh, h = patch.fx, i * fields.STRIDE, patch.fh, i * fields.HALF
    keep(patch, i, a, b)
    light_a, light_b = a[0], b[0]
    fx[o + fields.START], fx[o + fields.LENGTH] = start, length
    fx[o + fields.U] = 0 if length else fields.ONE
    fh[h + fields.CURVE] = curve
    most = max(light_a[CCT], light_b[CCT])
    fh[h + fields.KELVIN_A] = (light_a[CCT] * 32767 + most // 2) // most
    fh[h + fields.KELVIN_B] = (light_b[CCT] * 32767 + most // 2) // most
    segments = 1
    if length and light_a[1:] != light_b[1:] and i in patch.keyed:
        segments = max(1, min(_MOST, length // max(_SEGMENT_MS, len(patch.keyed) * _KNOT_MS)))
    fh[h + fields.SEGMENTS] = segments
    fh[h + fields.SEGMENT] = fh[h + fields.WANTED] = 0 if length else segments - 1
    _ends(patch, i, fixture, a, b, segments)


def plan(patch, i, fixture):
    """Give a keyed fixture the segment that it has reached (WANTED)."""
    fh, ch, h = patch.fh, patch.ch, i * fields.HALF
    n, k = fh[h + fields.SEGMENTS], fh[h + fields.WANTED]
    on = k == fh[h + fields.SEGMENT] + 1  # the usual case: this segment begins where the last one ended
    known = on and ch[fh[h + fields.FIRST] + fields.NEXT]
    for p in channels(patch, i):
        if on:
            ch[p + fields.A] = ch[p + fields.B]
        if known:
            ch[p + fields.B] = ch[p + fields.NEXT]
        ch[p + fields.NEXT] = 0
    a, b = light(patch, i, fields.LIGHT_A), light(patch, i, fields.LIGHT_B)
    if not on:
        _knot(patch, i, fixture, a, b, k, n, fields.A)
    if not known:
        _knot(patch, i, fixture, a, b, k + 1, n, fields.B)
    fh[h + fields.SEGMENT] = k


def plan_ahead(patch, i, fixture):
    """Work out the knot after the present segment, if that is still to do. Returns True if there was work."""
    fh, h = patch.fh, i * fields.HALF
    n, k = fh[h + fields.SEGMENTS], fh[h + fields.SEGMENT] + 2
    done = patch.fx[i * fields.STRIDE + fields.U] >= fields.ONE
    if k > n or done or patch.ch[fh[h + fields.FIRST] + fields.NEXT]:
        return False
    _knot(patch, i, fixture, light(patch, i, fields.LIGHT_A), light(patch, i, fields.LIGHT_B), k, n, fields.NEXT)
    return True


def _ends(patch, i, fixture, a, b, segments):
    """The first segment's ends; with one segment, the fade's."""
    if segments > 1:
        for p in channels(patch, i):
            patch.ch[p + fields.NEXT] = 0
        _knot(patch, i, fixture, a, b, 0, segments, fields.A)
        _knot(patch, i, fixture, a, b, 1, segments, fields.B)
        return
    light_a, light_b = list(a[0]), list(b[0])
    light_a[HUE], light_b[HUE] = hues(light_a, light_b)
    end = (light_b, b[1])
    values(patch, i, fixture, end, end, fields.B)
    if light_a[1:] == light_b[1:] and a[1] == b[1]:
        settle(patch, i)
    else:
        values(patch, i, fixture, (light_a, a[1]), end, fields.A)


def _knot(patch, i, fixture, a, b, k, n, field):
    extras = b[1]
    if extras:
        extras = {name: a[1].get(name, 0) + (value - a[1].get(name, 0)) * k // n for name, value in extras.items()}
    values(patch, i, fixture, (between(a[0], b[0], k * 65536 // n), extras), b, field)


def values(patch, i, fixture, at, goal, field):
    """Write one field (A, B or NEXT) of all channels of a fixture. at, goal: (six ints, extras)."""
    p_, ch, fh = fixture.personality, patch.ch, patch.fh
    drives = white = None
    p, width = fh[i * fields.HALF + fields.FIRST] + field, fh[i * fields.HALF + fields.WIDTH]
    for does, _coarse, _fine, low, high, default, snap in p_.channels:
        ask, extras = goal if snap else at
        if does == "level":
            value = 65535
        elif i in patch.whites and does in ("cct", "duv"):
            if white is None:
                white = patch.whites[i](ask[CCT], ask[DUV] / SCALE[DUV])
                patch.miss[i] = white[2]
            value = int(white[0] * 65535 + 0.5) if does == "cct" else resolve.slot(white[1], low, high)
        elif does in PARAMS:
            value = resolve.channel(does, low, high, ask)
        elif does in p_.emitter_at:
            if drives is None:
                drives, patch.miss[i] = resolve.drives(p_, ask)
            value = drives[p_.emitter_at[does]]
        else:
            value = extras.get(does, default)
        ch[p] = value + fields.BIAS
        p += width
