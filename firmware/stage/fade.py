"""One fixture's fade from light to light, set into the patch's arrays. Called by the stage; the tick then runs alone.

Parameter channels are straight lines in the right variable (level, mired, degrees), so two ends are exact. Emitter
drives are not: a keyed fixture gets up to 64 equal segments, exact at each knot and straight in light between.
"""

from firmware.show import resolve
from firmware.show.fixture_light import CCT, DUV, EXTRAS, HUE, LEVEL, MIX, PARAMS, SAT, SCALE
from firmware.stage import patch_fields as fields

LINEAR, SOFT = 0, 1  # curves of a fade
_SEGMENT_MS = 100
_KNOT_MS = 20  # what one keyframe may cost of a segment, so that a rig full of emitter lamps is still in time
_MOST = 64


def keyed(fixture):
    """True for a fixture whose slots are not straight lines between two lights: fades need keyframes."""
    return bool(fixture.personality.emitters) or "white" in fixture.trims


def light(patch, i, end):
    """Where fixture i comes from (end: LIGHT_FROM) or goes to (LIGHT_TO): a light. Its raw channels are the patch's:
    copy them before you change them."""
    goal, setups, h = end == fields.LIGHT_TO, patch.setups, i * fields.SETUP + end
    level = patch.fades[i * fields.FADE + (fields.LEVEL_TO if goal else fields.LEVEL_FROM)]
    extras = patch.extras[i][goal] if i in patch.extras else {}
    return [level, setups[h], setups[h + 1] - fields.DUV_BIAS, setups[h + 2], setups[h + 3], setups[h + 4], extras]


def set_ends(patch, i, a, b):
    """Keep the lights at both ends of fixture i's fade, for `light`."""
    o, setups = i * fields.FADE, patch.setups
    patch.fades[o + fields.LEVEL_FROM], patch.fades[o + fields.LEVEL_TO] = a[LEVEL], b[LEVEL]
    for end, one in ((fields.LIGHT_FROM, a), (fields.LIGHT_TO, b)):
        h = i * fields.SETUP + end
        setups[h], setups[h + 1], setups[h + 2] = one[CCT], one[DUV] + fields.DUV_BIAS, one[HUE]
        setups[h + 3], setups[h + 4] = one[SAT], one[MIX]
    if a[EXTRAS] or b[EXTRAS]:
        patch.extras[i] = a[EXTRAS], b[EXTRAS]
    else:
        patch.extras.pop(i, None)
    h = i * fields.SETUP + fields.CHANGES
    setups[h] = setups[h] + 1 & 65535


def channels(patch, i):
    """Where the channels of fixture i begin in patch.channels: a range."""
    setups, h = patch.setups, i * fields.SETUP
    count = (setups[h + fields.FORM_END] - setups[h + fields.FORM_AT]) // fields.FORM
    first, width = setups[h + fields.CHANNELS_AT], setups[h + fields.CHANNEL_WIDTH]
    return range(first, first + count * width, width)


def settle(patch, i):
    """The channels of fixture i begin where they end."""
    out = patch.channels
    for p in channels(patch, i):
        out[p + fields.FROM] = out[p + fields.TO]


def between(a, b, done):
    """The light at a share `done` (0..65536) of the way from light a to b. White in mired, hue the short way round."""
    out = [a[p] + (b[p] - a[p]) * done // fields.ONE for p in range(EXTRAS)]
    if done >= fields.ONE:
        out[:EXTRAS] = b[:EXTRAS]
    else:
        out[CCT] = int(fields.ONE * a[CCT] * b[CCT] / (b[CCT] * (fields.ONE - done) + a[CCT] * done) + 0.5)
        hue_a, hue_b = hues(a, b)
        out[HUE] = (hue_a + (hue_b - hue_a) * done // fields.ONE) % 36000
    start = a[EXTRAS]
    out.append({name: start.get(name, 0) + (value - start.get(name, 0)) * done // fields.ONE
                for name, value in b[EXTRAS].items()})
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
    """Set fixture i moving from light a to light b, in ms of the stage's time; length 0: at once."""
    fades, o, setups, h = patch.fades, i * fields.FADE, patch.setups, i * fields.SETUP
    set_ends(patch, i, a, b)
    fades[o + fields.START], fades[o + fields.LENGTH] = start, length
    fades[o + fields.DONE] = 0 if length else fields.ONE
    setups[h + fields.CURVE] = curve
    most = max(a[CCT], b[CCT])
    setups[h + fields.KELVIN_FROM] = (a[CCT] * 32767 + most // 2) // most
    setups[h + fields.KELVIN_TO] = (b[CCT] * 32767 + most // 2) // most
    segments = 1
    if length and a[LEVEL + 1:EXTRAS] != b[LEVEL + 1:EXTRAS] and i in patch.keyed:
        segments = max(1, min(_MOST, length // max(_SEGMENT_MS, len(patch.keyed) * _KNOT_MS)))
    setups[h + fields.SEGMENTS] = segments
    setups[h + fields.SEGMENT] = setups[h + fields.SEGMENT_DUE] = 0 if length else segments - 1
    _set_channels(patch, i, fixture, a, b, segments)


def plan(patch, i, fixture):
    """Give a keyed fixture the segment that it has reached (SEGMENT_DUE)."""
    setups, out, h = patch.setups, patch.channels, i * fields.SETUP
    n, k = setups[h + fields.SEGMENTS], setups[h + fields.SEGMENT_DUE]
    on = k == setups[h + fields.SEGMENT] + 1  # the usual case: this segment begins where the last one ended
    known = on and out[setups[h + fields.CHANNELS_AT] + fields.NEXT]
    for p in channels(patch, i):
        if on:
            out[p + fields.FROM] = out[p + fields.TO]
        if known:
            out[p + fields.TO] = out[p + fields.NEXT]
        out[p + fields.NEXT] = 0
    a, b = light(patch, i, fields.LIGHT_FROM), light(patch, i, fields.LIGHT_TO)
    if not on:
        _knot(patch, i, fixture, a, b, k, n, fields.FROM)
    if not known:
        _knot(patch, i, fixture, a, b, k + 1, n, fields.TO)
    setups[h + fields.SEGMENT] = k


def plan_ahead(patch, i, fixture):
    """Work out the knot after the present segment, if that is still to do. Returns True if there was work."""
    setups, h = patch.setups, i * fields.SETUP
    n, k = setups[h + fields.SEGMENTS], setups[h + fields.SEGMENT] + 2
    done = patch.fades[i * fields.FADE + fields.DONE] >= fields.ONE
    if k > n or done or patch.channels[setups[h + fields.CHANNELS_AT] + fields.NEXT]:
        return False
    _knot(patch, i, fixture, light(patch, i, fields.LIGHT_FROM), light(patch, i, fields.LIGHT_TO), k, n, fields.NEXT)
    return True


def _set_channels(patch, i, fixture, a, b, segments):
    """The channels at both ends of the first segment; with one segment, of the fade."""
    if segments > 1:
        for p in channels(patch, i):
            patch.channels[p + fields.NEXT] = 0
        _knot(patch, i, fixture, a, b, 0, segments, fields.FROM)
        _knot(patch, i, fixture, a, b, 1, segments, fields.TO)
        return
    start, end = list(a), list(b)
    start[HUE], end[HUE] = hues(a, b)
    values(patch, i, fixture, end, end, fields.TO)
    if start[LEVEL + 1:] == end[LEVEL + 1:]:
        settle(patch, i)
    else:
        values(patch, i, fixture, start, end, fields.FROM)


def _knot(patch, i, fixture, a, b, k, n, field):
    """Work out knot k of n of a fade from light a to b, into one field of the channels."""
    values(patch, i, fixture, between(a, b, k * fields.ONE // n), b, field)


def values(patch, i, fixture, at, goal, field):
    """Write one field (FROM, TO or NEXT) of all channels of a fixture. at, goal: lights."""
    p_, out, setups = fixture.personality, patch.channels, patch.setups
    drives = white = None
    p, width = setups[i * fields.SETUP + fields.CHANNELS_AT] + field, setups[i * fields.SETUP + fields.CHANNEL_WIDTH]
    for does, _coarse, _fine, low, high, default, snap in p_.channels:
        ask = goal if snap else at
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
            value = ask[EXTRAS].get(does, default)
        out[p] = value + fields.BIAS
        p += width
