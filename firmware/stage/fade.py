"""Fades from light to light: the lights at both ends in the patch's arrays, and the slot values on the way. Called by
the stage; the tick then runs alone.

Parameter channels are straight lines in the right variable (level, mired, degrees), so two ends are exact. Emitter
drives are not: a keyed fixture gets up to 64 equal segments, whose knots are worked out one after the other while the
fade runs. Fixtures of one personality that are asked for the same share what is worked out.
"""

from array import array

from micropython import const

from firmware.show import resolve
from firmware.show.fixture_light import CCT, DUV, EXTRAS, HUE, LEVEL, MIX, PARAMS, SAT, SCALE
from firmware.stage import patch_fields as fields
from firmware.stage.patch_fields import mul16

LINEAR, SOFT = 0, 1  # curves of a fade
_SEGMENT_MS = const(100)
_KNOT_MS = const(25)  # what one knot may cost of a segment, so that a rig full of different lamps is still in time
_MOST = const(64)
_LEAST_BY_HAND = const(8)
_LATE_SHARE = const(8192)  # of a segment: what comes later goes at once, as it would race
_AT_A_TIME = const(4)  # fixtures that are given in a piece what one of them has found


def keyed(fixture):
    """True for a fixture whose slots are not straight lines between two lights: fades need keyframes."""
    return bool(fixture.personality.emitters) or "white" in fixture.trims


def light(patch, i, end):
    """Where fixture i comes from (end: LIGHT_FROM) or goes to (LIGHT_TO): a light. Its raw channels are the patch's:
    copy them before you change them."""
    goal, setups, h = end == fields.LIGHT_TO, patch.setups, i * fields.SETUP + end
    if i in patch.left and not goal:
        _arrive(patch, i)
    level = patch.fades[i * fields.FADE + (fields.LEVEL_TO if goal else fields.LEVEL_FROM)]
    extras = patch.extras[i][goal] if i in patch.extras else {}
    return [level, setups[h], setups[h + 1] - fields.DUV_BIAS, setups[h + 2], setups[h + 3], setups[h + 4], extras]


def _arrive(patch, i):
    """Fixture i began a fade in the midst of another: find out from which light."""
    ends, done = patch.left.pop(i)
    a, b = [[0, ends[k], ends[k + 1], ends[k + 2], ends[k + 3], ends[k + 4], {}] for k in (0, 5)]
    h = i * fields.SETUP + fields.LIGHT_FROM
    patch.setups[h:h + 5] = array("H", between(a, b, done)[CCT:EXTRAS])


def set_ends(patch, i, a, b):
    """Keep the lights at both ends of fixture i's fade, for `light`."""
    o, setups = i * fields.FADE, patch.setups
    patch.left.pop(i, None)
    patch.fades[o + fields.LEVEL_FROM], patch.fades[o + fields.LEVEL_TO] = a[LEVEL], b[LEVEL]
    for end, one in ((fields.LIGHT_FROM, a), (fields.LIGHT_TO, b)):
        h = i * fields.SETUP + end
        setups[h], setups[h + 1], setups[h + 2] = one[CCT], one[DUV] + fields.DUV_BIAS, one[HUE]
        setups[h + 3], setups[h + 4] = one[SAT], one[MIX]
    set_extras(patch, i, a[EXTRAS], b[EXTRAS])
    h = i * fields.SETUP + fields.CHANGES
    setups[h] = setups[h] + 1 & 65535


def set_extras(patch, i, a, b):
    """Keep the raw channels at both ends of fixture i's fade."""
    if a or b:
        patch.extras[i] = a, b
    else:
        patch.extras.pop(i, None)


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


def pack(rig, lights):
    """The lights of a look, {uid: light}, as targets (patch_fields.py)."""
    out, none = array("H"), array("H", bytes(2 * fields.TARGET))
    for f in rig.fixtures:
        if f.uid in lights:
            level, cct, duv, hue, sat, mix, _extras = lights[f.uid]
            out.extend(array("H", (1 + (level >> 16), level & 65535, cct, duv + fields.DUV_BIAS, hue, sat, mix,
                                   f.trims.get("lag", 0))))
        else:
            out.extend(none)
    return out


def aim(patch, targets, time, length, curve):
    """Send the fixtures that `targets` covers to another light, in ms of the stage's time; length 0: once the stage
    says so, -1: by hand. Their levels move; in their colour they wait. Slow lamps start first and all arrive
    together."""
    fades, setups, slowest = patch.fades, patch.setups, 0
    if length > 0:
        for t in range(fields.LAG, len(targets), fields.TARGET):
            slowest = max(slowest, targets[t])
    start = fields.NEVER if length == 0 else 0 if length < 0 else time + slowest
    length = 1 if length == 0 else max(0, length)
    o = h = 0
    for t in range(0, len(targets), fields.TARGET):
        covered = targets[t]
        if covered:
            a, b = h + fields.LIGHT_FROM, h + fields.LIGHT_TO
            if fades[o + fields.DONE] == fields.ONE:
                fades[o + fields.LEVEL_FROM] = fades[o + fields.LEVEL_TO]
                setups[a:b] = setups[b:b + 5]
            else:
                _leave(patch, h // fields.SETUP)
            setups[b:b + 5] = targets[t + fields.TARGET_LIGHT:t + fields.LAG]
            fades[o + fields.LEVEL_TO] = targets[t + fields.LEVEL_LOW] + (covered - 1 << 16)
            fades[o + fields.DONE] = 0
            fades[o + fields.START] = start - targets[t + fields.LAG] if slowest else start
            fades[o + fields.LENGTH] = length
            setups[h + fields.CURVE] = curve
            setups[h + fields.SEGMENTS] = 0
            setups[h + fields.CHANGES] = setups[h + fields.CHANGES] + 1 & 65535
            patch.channels[setups[h + fields.CHANNELS_AT] + fields.END] = 0
        o += fields.FADE
        h += fields.SETUP


def _leave(patch, i):
    """Fixture i begins a fade in the midst of another, from the level that it has now; from which white and colour is
    found out later."""
    o, h = i * fields.FADE, i * fields.SETUP + fields.LIGHT_FROM
    if i in patch.left:
        _arrive(patch, i)
    patch.left[i] = patch.setups[h:h + 10], patch.fades[o + fields.DONE]
    patch.fades[o + fields.LEVEL_FROM] = patch.fades[o + fields.LEVEL]


def take_ends(patch, targets, ends):
    """Take over the ends of the channels that were worked out before. ends: those of all channels, 0: not known."""
    out, at = patch.channels, 0
    for i in range(patch.common[fields.N_FIXTURES]):
        for p in channels(patch, i):
            if targets[i * fields.TARGET]:
                out[p + fields.END] = ends[at]
            at += 1


def begin(patch, i, fixture, a, b, start, length, curve, done=fields.ONE):
    """Set fixture i to a share `done` of a fade from light a to light b, in ms of the stage's time. What it shows now is
    worked out; where it still moves, it waits for the rest."""
    wait(patch, i, a, b, start, length, curve, done)
    values(patch, i, fixture, between(a, b, done), b, fields.TO)
    settle(patch, i)
    if done == fields.ONE:
        patch.setups[i * fields.SETUP + fields.SEGMENTS] = 1
        _put(patch, i, fields.END, [patch.channels[p] for p in channels(patch, i)])


def wait(patch, i, a, b, start, length, curve, done):
    """As begin, but all that is to be shown waits."""
    fades, o, setups, h = patch.fades, i * fields.FADE, patch.setups, i * fields.SETUP
    set_ends(patch, i, a, b)
    fades[o + fields.START], fades[o + fields.LENGTH], fades[o + fields.DONE] = start, length, done
    fades[o + fields.PLACE] = fades[o + fields.WHITE_PLACE] = fields.ONE
    setups[h + fields.CURVE] = curve
    setups[h + fields.LEADER] = i
    setups[h + fields.SEGMENTS] = setups[h + fields.SEGMENT] = 0
    patch.channels[setups[h + fields.CHANNELS_AT] + fields.END] = 0


def lead(patch):
    """Find which fixtures can share what is to be worked out: LEADER. In pieces; returns (how many different ones wait
    that are keyed, how many others). patch.solves: how many different keyed ones move."""
    fades, setups, known = patch.fades, patch.setups, {}
    waiting = [0, 0]
    patch.solves = 0
    for i in list(patch.left):
        _arrive(patch, i)
        yield
    for i in range(patch.common[fields.N_FIXTURES]):
        h, o = i * fields.SETUP, i * fields.FADE
        setups[h + fields.LEADER] = i
        waits, plain = not setups[h + fields.SEGMENTS], setups[h + fields.CHANNEL_WIDTH] == 3
        end_known = patch.channels[setups[h + fields.CHANNELS_AT] + fields.END]
        if not waits and end_known and (plain or fades[o + fields.DONE] == fields.ONE):
            continue
        if i not in patch.extras:
            cut = fades[o + fields.START] == fields.NEVER
            key = (setups[h + fields.FORM_AT], setups[h + fields.SEGMENTS], setups[h + fields.SEGMENT] if not waits else 0,
                   fades[o + fields.START], fades[o + fields.LENGTH], fades[o + fields.DONE],
                   bytes(setups[h + (fields.LIGHT_TO if cut else fields.LIGHT_FROM):h + fields.LIGHT_TO + 5]))
            leader = known.setdefault(key, i)
            if leader != i:
                setups[h + fields.LEADER] = leader
                continue
        if waits:
            waiting[plain] += 1
        if not plain and fades[o + fields.DONE] < fields.ONE:
            patch.solves += 1
    return waiting


def work(patch, fixtures, task):
    """Work out what `move` said is most urgent, in pieces of a few ms on the chip: a generator."""
    setups, fades, out, i = patch.setups, patch.fades, patch.channels, task & 1023
    i = setups[i * fields.SETUP + fields.LEADER]
    h, o = i * fields.SETUP, i * fields.FADE
    led = [m for m in range(patch.common[fields.N_FIXTURES]) if setups[m * fields.SETUP + fields.LEADER] == i]
    waits, done = not setups[h + fields.SEGMENTS], fades[o + fields.DONE]
    n = setups[h + fields.SEGMENTS] or _segments(patch, i)
    by_hand = done < fields.ONE and not fades[o + fields.LENGTH]
    if by_hand and n > 1:
        yield from _by_hand(patch, i, fixtures[i], led, n)
        return
    knot = n
    if task >= fields.AHEAD and done < fields.ONE:
        if task < fields.LATE:
            knot = setups[h + fields.SEGMENT] + 2
        else:
            knot = min(n, (done * n >> 16) + (1 if (done * n & 65535) < 32768 else 2))
    field = fields.END if knot == n else fields.NEXT
    if field == fields.END and out[setups[h + fields.CHANNELS_AT] + field]:
        found = [out[p + field] for p in channels(patch, i)]
    else:
        found = yield from _knot(patch, i, fixtures[i], knot, n)
    for at, m in enumerate(led):
        if at % _AT_A_TIME == _AT_A_TIME - 1:
            yield
        _put(patch, m, field, found)
        patch.miss[m] = patch.miss[i]
        h, done = m * fields.SETUP, fades[m * fields.FADE + fields.DONE]
        if waits or n > 1 and min(done * n >> 16, n - 1) != setups[h + fields.SEGMENT]:
            if fades[m * fields.FADE + fields.START] != fields.NEVER or by_hand:
                _steer(patch, m, n, knot, 0 if by_hand else done)
        elif n > 1 and knot == setups[h + fields.SEGMENT] + 2:
            _put(patch, m, fields.NEXT, found)


def _steer(patch, i, n, knot, done):
    """Fixture i, which is `done` through its fade of n segments, goes on from the colour that it shows to that of a
    knot, which lies in its channels, and arrives there at about the knot's time."""
    fades, setups, out, tables = patch.fades, patch.setups, patch.channels, patch.tables
    h, o = i * fields.SETUP, i * fields.FADE
    k = min(done * n >> 16, n - 1)
    place = done * n - (k << 16)
    # Over the rest of this segment and, where that is little, the next.
    last = max(knot, min(n, k + 1 if place <= 32768 else k + 2))
    a, b = setups[h + fields.LIGHT_FROM], setups[h + fields.LIGHT_TO]
    most = max(a, b)
    setups[h + fields.KELVIN_FROM], setups[h + fields.KELVIN_TO] = (
        (a * 32767 + most // 2) // most, (b * 32767 + most // 2) // most)
    white = fields.ONE * (a * done >> 8) // (a * done + b * (fields.ONE - done) >> 8)
    from_white = not (setups[h + fields.LIGHT_FROM + 3] and setups[h + fields.LIGHT_FROM + 4])
    form, field = setups[h + fields.FORM_AT], fields.NEXT if knot < n else fields.END
    for p in channels(patch, i):
        flags = tables[form + fields.FLAGS]
        form += fields.FORM
        v = out[p + fields.FROM]
        v += mul16(out[p + fields.TO] - v, fades[o + (fields.WHITE_PLACE if flags & fields.WHITE else fields.PLACE)])
        if flags & fields.WRAPS:
            v = fields.BIAS + (v - fields.BIAS) % 65535
        d = out[p + field] - v
        if flags & fields.WRAPS:
            d = (d + 32767) % 65535 - 32767
        to = v + d
        away = fields.ONE - white if flags & fields.WHITE else (last - k << 16) - place
        if away < _LATE_SHARE or flags & fields.SNAPS or flags & fields.WRAPS and from_white:
            out[p + fields.FROM] = out[p + fields.TO] = to
        else:
            slope = (d << 8) // (away >> 8)
            out[p + fields.TO] = to - slope * (last - k - 1)
            out[p + fields.FROM] = out[p + fields.TO] - slope
        if n > 1:
            out[p + fields.NEXT] = to if last > k + 1 else 0
    setups[h + fields.SEGMENTS], setups[h + fields.SEGMENT] = n, k
    fades[o + fields.PLACE], fades[o + fields.WHITE_PLACE] = place, white


def _segments(patch, i):
    """Into how many segments the fade of fixture i is cut."""
    o, h = i * fields.FADE, i * fields.SETUP
    length, ends = patch.fades[o + fields.LENGTH], h + fields.LIGHT_FROM
    if (patch.setups[h + fields.CHANNEL_WIDTH] == 3 or patch.fades[o + fields.DONE] == fields.ONE
            or patch.setups[ends:ends + 5] == patch.setups[ends + 5:ends + 10]):
        return 1
    if not length:
        return max(_LEAST_BY_HAND, _MOST // max(1, patch.solves))
    return max(1, min(_MOST, length // max(_SEGMENT_MS, patch.solves * _KNOT_MS)))


def _knot(patch, i, fixture, knot, n):
    """The values of the channels at a knot of a fade of n segments. In pieces."""
    a, b = light(patch, i, fields.LIGHT_FROM), light(patch, i, fields.LIGHT_TO)
    at = between(a, b, knot * fields.ONE // n)
    if knot == n and patch.fades[i * fields.FADE + fields.START] != fields.NEVER:
        at[HUE] = hues(a, b)[1] % 36000
    found = yield from solving(patch, i, fixture, at, b)
    return found


def _by_hand(patch, i, fixture, led, n):
    """Give fixtures that are moved by hand the segment that they have reached. In pieces."""
    fades, setups, out = patch.fades, patch.setups, patch.channels
    k = min(fades[i * fields.FADE + fields.DONE] * n >> 16, n - 1)
    start = yield from _knot(patch, i, fixture, k, n)
    end = yield from _knot(patch, i, fixture, k + 1, n)
    for m in led:
        _put(patch, m, fields.FROM, start)
        _put(patch, m, fields.TO, end)
        out[setups[m * fields.SETUP + fields.CHANNELS_AT] + fields.NEXT] = 0
        setups[m * fields.SETUP + fields.SEGMENTS], setups[m * fields.SETUP + fields.SEGMENT] = n, k


def _put(patch, i, field, found):
    """Write one field of all channels of a fixture."""
    for p, value in zip(channels(patch, i), found):
        patch.channels[p + field] = value


def values(patch, i, fixture, at, goal, field):
    """Work out one field (FROM, TO or END) of all channels of a fixture. at, goal: lights."""
    _put(patch, i, field, resolve.finished(solving(patch, i, fixture, at, goal)))


def solving(patch, i, fixture, at, goal):
    """The values of all channels of a fixture, + BIAS: a list. at, goal: lights. In pieces."""
    p_, found = fixture.personality, []
    drives = white = None
    for does, _coarse, _fine, low, high, default, snap in p_.channels:
        ask = goal if snap else at
        if does == "level":
            value = 65535
        elif i in patch.whites and does in ("cct", "duv"):
            if white is None:
                white = patch.whites[i](ask[CCT], ask[DUV] / SCALE[DUV])
                patch.miss[i] = white[2]
                yield
            value = int(white[0] * 65535 + 0.5) if does == "cct" else resolve.slot(white[1], low, high)
        elif does in PARAMS:
            value = resolve.channel(does, low, high, ask)
        elif does in p_.emitter_at:
            if drives is None:
                drives, patch.miss[i] = yield from resolve.driving(p_, ask)
            value = drives[p_.emitter_at[does]]
        else:
            value = ask[EXTRAS].get(does, default)
        found.append(value + fields.BIAS)
    return found
