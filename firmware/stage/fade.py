"""One fixture's way from light to light, set into the patch's arrays. Called by the stage; the tick then runs alone.

Parameter channels are straight lines in the right variable (level, mired, degrees), so two ends are exact. Emitter
drives are not: a keyed fixture gets up to 64 equal segments, exact at each knot and straight in light between.
"""

from firmware.show import resolve
from firmware.show.personality import CCT, DUV, HUE, LEVEL, MIX, PARAMS, SAT, SCALE
from firmware.stage import fields

_SEGMENT_MS = 100
_KNOT_MS = 20  # what one keyframe may cost of a segment, so that a rig full of emitter lamps is still in time
_MOST = 64


def keyed(fixture):
    """True for a fixture whose slots are not straight lines between two lights: fades need keyframes."""
    return bool(fixture.personality.emitters) or "white" in fixture.trims


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
    fx, o = patch.fx, i * fields.STRIDE
    light_a, light_b = a[0], b[0]
    fx[o + fields.LEVEL_A], fx[o + fields.LEVEL_B] = light_a[LEVEL], light_b[LEVEL]
    fx[o + fields.START], fx[o + fields.LENGTH] = start, length
    fx[o + fields.U] = 0 if length else fields.ONE
    fx[o + fields.CURVE] = curve
    most = max(light_a[CCT], light_b[CCT])
    fx[o + fields.KELVIN_A] = (light_a[CCT] * 32767 + most // 2) // most
    fx[o + fields.KELVIN_B] = (light_b[CCT] * 32767 + most // 2) // most
    segments = 1
    if length and light_a[1:] != light_b[1:] and keyed(fixture):
        segments = max(1, min(_MOST, length // max(_SEGMENT_MS, patch.keyed * _KNOT_MS)))
    fx[o + fields.SEGMENTS] = segments
    fx[o + fields.SEGMENT] = fx[o + fields.WANTED] = 0 if length else segments - 1
    _ends(patch, i, fixture, a, b, segments)


def plan(patch, i, fixture, a, b):
    """Give a keyed fixture the segment that it has reached (WANTED)."""
    fx, ch, o = patch.fx, patch.ch, i * fields.STRIDE
    n, k = fx[o + fields.SEGMENTS], fx[o + fields.WANTED]
    first, last = patch.spans[i]
    on = k == fx[o + fields.SEGMENT] + 1  # the usual case: this segment begins where the last one ended
    known = on and ch[first * fields.WIDTH + fields.NEXT]
    for p in range(first * fields.WIDTH, last * fields.WIDTH, fields.WIDTH):
        if on:
            ch[p + fields.A] = ch[p + fields.B]
        if known:
            ch[p + fields.B] = ch[p + fields.NEXT]
        ch[p + fields.NEXT] = 0
    if not on:
        _knot(patch, i, fixture, a, b, k, n, fields.A)
    if not known:
        _knot(patch, i, fixture, a, b, k + 1, n, fields.B)
    fx[o + fields.SEGMENT] = k


def plan_ahead(patch, i, fixture, a, b):
    """Work out the knot after the present segment, if that is still to do. Returns True if there was work."""
    fx, o = patch.fx, i * fields.STRIDE
    n, k = fx[o + fields.SEGMENTS], fx[o + fields.SEGMENT] + 2
    if k > n or fx[o + fields.U] >= fields.ONE or patch.ch[patch.spans[i][0] * fields.WIDTH + fields.NEXT]:
        return False
    _knot(patch, i, fixture, a, b, k, n, fields.NEXT)
    return True


def _ends(patch, i, fixture, a, b, segments):
    """The first segment's ends; with one segment, the fade's."""
    first, last = patch.spans[i]
    if segments > 1:
        for p in range(first * fields.WIDTH, last * fields.WIDTH, fields.WIDTH):
            patch.ch[p + fields.NEXT] = 0
        _knot(patch, i, fixture, a, b, 0, segments, fields.A)
        _knot(patch, i, fixture, a, b, 1, segments, fields.B)
        return
    light_a, light_b = list(a[0]), list(b[0])
    light_a[HUE], light_b[HUE] = hues(light_a, light_b)
    end = (light_b, b[1])
    values(patch, i, fixture, end, end, fields.B)
    if light_a[1:] == light_b[1:] and a[1] == b[1]:
        for p in range(first * fields.WIDTH, last * fields.WIDTH, fields.WIDTH):
            patch.ch[p + fields.A] = patch.ch[p + fields.B]
    else:
        values(patch, i, fixture, (light_a, a[1]), end, fields.A)


def _knot(patch, i, fixture, a, b, k, n, field):
    extras = b[1]
    if extras:
        extras = {name: a[1].get(name, 0) + (value - a[1].get(name, 0)) * k // n for name, value in extras.items()}
    values(patch, i, fixture, (between(a[0], b[0], k * 65536 // n), extras), b, field)


def values(patch, i, fixture, light, goal, field):
    """Write one field (A, B or NEXT) of all channels of a fixture. light, goal: (six ints, extras)."""
    p_, ch = fixture.personality, patch.ch
    drives = white = None
    p = patch.spans[i][0] * fields.WIDTH + field
    for does, _coarse, _fine, low, high, default, snap in p_.channels:
        ask, extras = goal if snap else light
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
        p += fields.WIDTH
