"""Fades from light to light: the lights at both ends in the patch's arrays, and the slot values on the way. Called by
the stage; the tick then runs alone.

Parameter channels are straight lines in the right variable (level, mired, degrees), so two ends are exact. Emitter
drives are not: a keyed fixture gets up to 64 equal segments, whose knots are worked out one after the other while the
fade runs. Fixtures of one personality that are asked for the same share what is worked out.
"""


from micropython import const

from firmware.show import resolve
from firmware.show.fixture_light import CCT, DUV, EXTRAS, HUE, LEVEL, MIX, PARAMS, SAT, SCALE
from firmware.stage import patch_fields as fields
from firmware.stage.patch_fields import mul16

try:
    from firmware.stage.tick_loops_viper import steer
except (ImportError, SyntaxError, NameError):
    from firmware.stage.tick_loops import steer

LINEAR, SOFT = 0, 1  # curves of a fade
_SEGMENT_MS = const(100)
_KNOT_MS = const(15)  # what one knot may cost of a segment: a step of 10 ms, and its share of collecting
_MOST = const(64)
_LEAST_BY_HAND = const(8)
_FEW = const(3)
_AT_A_TIME = const(4)  # fixtures in a piece of what is quick


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
    h = i * fields.SETUP + fields.LIGHT_FROM
    kelvin, hue, to = ends[0], ends[2], ends[7]
    if not (ends[3] and ends[4]):  # as `hues`
        hue = to
    elif not (ends[8] and ends[9]):
        to = hue
    setups = patch.setups
    for k in (1, 3, 4):
        setups[h + k] = ends[k] + mul16(ends[k + 5] - ends[k], done)
    setups[h + 2] = (hue + mul16((to - hue + 54000) % 36000 - 18000, done)) % 36000
    setups[h] = kelvin + mul16(ends[5] - kelvin, _white_share(kelvin, ends[5], done))


def _white_share(a, b, done):
    """How far a white has gone from a to b in kelvin, 0..65536, when it has gone `done` in mired."""
    top = a * (done >> 2)
    return min(fields.ONE, (top << 6) // ((top + b * (fields.ONE - done >> 2)) >> 10)) if done else 0


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


def leave(patch, i):
    """Fixture i is about to begin a fade in the midst of another, from the level that it has now; from which white and
    colour is found out later."""
    o, h = i * fields.FADE, i * fields.SETUP + fields.LIGHT_FROM
    if i in patch.left:
        _arrive(patch, i)
    patch.left[i] = patch.setups[h:h + 10], patch.fades[o + fields.DONE]
    patch.fades[o + fields.LEVEL_FROM] = patch.fades[o + fields.LEVEL]


def begin(patch, i, fixture, a, b, start, length, curve, done=fields.ONE):
    """Set fixture i to a share `done` of a fade from light a to light b, in ms of the stage's time. What it shows now
    is worked out; where it still moves, it waits for the rest."""
    wait(patch, i, a, b, start, length, curve, done)
    values(patch, i, fixture, between(a, b, done), b, fields.TO)
    settle(patch, i)
    if done == fields.ONE:
        patch.setups[i * fields.SETUP + fields.SEGMENTS] = 1
        put(patch, i, fields.END, [patch.channels[p] for p in channels(patch, i)])


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
    """Find which fixtures can share what is to be worked out: LEADER, and patch.led, {place of one that leads others:
    their places and its own}. In pieces; returns (how many different ones wait that are keyed, how many others).
    patch.solves: how many different keyed ones move."""
    fades, setups, known = patch.fades, patch.setups, {}
    plain_waits = keyed_waits = patch.solves = 0
    patch.led = {}
    while patch.left:  # whoever asks for a light in between takes some out of it
        _arrive(patch, next(iter(patch.left)))
        if not len(patch.left) % _AT_A_TIME:
            yield
    for i in range(patch.common[fields.N_FIXTURES]):
        if i % _AT_A_TIME == 1:
            yield
        h, o = i * fields.SETUP, i * fields.FADE
        setups[h + fields.LEADER] = i
        waits, plain = not setups[h + fields.SEGMENTS], setups[h + fields.CHANNEL_WIDTH] == 3
        moves = fades[o + fields.DONE] < fields.ONE
        if not waits and (plain or not moves) and patch.channels[setups[h + fields.CHANNELS_AT] + fields.END]:
            continue
        if i not in patch.extras:
            begin = fields.LIGHT_TO if fades[o + fields.START] == fields.NEVER else fields.LIGHT_FROM
            curve = setups[h + fields.CURVE]  # how far one is that is slowed depends on its levels too
            key = setups[h + fields.FORM_AT], moves, curve, bytes(fades[
                o + (fields.LEVEL_FROM if curve & fields.SLOWED else fields.START):o + fields.OUTPUT]), bytes(
                setups[h + fields.SEGMENTS:h + fields.LEADER]), bytes(setups[h + begin:h + fields.LIGHT_TO + 5])
            leader = known.setdefault(key, i)
            if leader != i:
                setups[h + fields.LEADER] = leader
                patch.led.setdefault(leader, [leader]).append(i)
                continue
        if waits and plain:
            plain_waits += 1
        elif waits:
            keyed_waits += 1
        if moves and not plain:
            patch.solves += 1
    return keyed_waits, plain_waits


def work(patch, fixtures, task):
    """Work out what `move` said is most urgent, in pieces of a few ms on the chip: a generator."""
    setups, fades, out, i = patch.setups, patch.fades, patch.channels, task & 1023
    i = setups[i * fields.SETUP + fields.LEADER]
    h, o = i * fields.SETUP, i * fields.FADE
    led = patch.led.get(i) or (i,)
    waits, done = not setups[h + fields.SEGMENTS], fades[o + fields.DONE]
    n = setups[h + fields.SEGMENTS] or _segments(patch, i)
    by_hand = done < fields.ONE and not fades[o + fields.LENGTH]
    if by_hand and n > 1:
        yield from _by_hand(patch, i, fixtures[i], led, n)
        return
    knot = n
    if done < fields.ONE and not fields.AT_END <= task < fields.LATE:
        if task < fields.AT_END:
            knot = setups[h + fields.SEGMENT] + 2
        else:
            near = (done * n & 65535) < 32768 and patch.solves <= _FEW  # where many are to come, later
            knot = min(n, (done * n >> 16) + (1 if near else 2))
    field = fields.END if knot == n else fields.NEXT
    if field == fields.END and out[setups[h + fields.CHANNELS_AT] + field]:
        found = [out[p + field] for p in channels(patch, i)]
    else:
        found = yield from _knot(patch, i, fixtures[i], knot, n)
    for at, m in enumerate(led):
        if at % _AT_A_TIME == _AT_A_TIME - 1:
            yield
        patch.miss[m] = patch.miss[i]
        h, done = m * fields.SETUP, fades[m * fields.FADE + fields.DONE]
        k = min(done * n >> 16, n - 1)
        # A cut waits for all, and what has come into its last segment for its end.
        steers = ((waits or k != setups[h + fields.SEGMENT] and n > 1)
                  and fades[m * fields.FADE + fields.START] != fields.NEVER and (knot == n or k < n - 1))
        # Meanwhile a fixture may be in another segment than its leader: to that the knot is not the next.
        if steers or field == fields.END:
            put(patch, m, field, found)
        if steers:
            _steer(patch, m, n, knot, 0 if by_hand else done)
        elif k == setups[h + fields.SEGMENT] == knot - 2:
            put(patch, m, fields.NEXT, found)


def _steer(patch, i, n, knot, done):
    """Fixture i, which is `done` through its fade of n segments, goes on from the colour that it shows to that of a
    knot, which lies in its channels, and arrives there at about the knot's time."""
    fades, setups, h, o = patch.fades, patch.setups, i * fields.SETUP, i * fields.FADE
    k = min(done * n >> 16, n - 1)
    place = done * n - (k << 16)
    # Over the rest of this segment and, where that is little, the next.
    last = max(knot, min(n if knot == n else n - 1, k + 1 if place <= 32768 else k + 2))
    a, b = setups[h + fields.LIGHT_FROM], setups[h + fields.LIGHT_TO]
    most = max(a, b)
    setups[h + fields.KELVIN_FROM] = (a * 32767 + (most >> 1)) // most
    setups[h + fields.KELVIN_TO] = (b * 32767 + (most >> 1)) // most
    white = _white_share(a, b, done)
    steer(fades, setups, patch.channels, patch.tables, i, fields.NEXT if knot < n else fields.END,
          (last - k << 16) - place, fields.ONE - white, last - k - 1)
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
    at = b = light(patch, i, fields.LIGHT_TO)
    if knot < n:
        at = between(light(patch, i, fields.LIGHT_FROM), b, knot * fields.ONE // n)
    elif patch.fades[i * fields.FADE + fields.START] != fields.NEVER and not (b[SAT] and b[MIX]):
        at[HUE] = hues(light(patch, i, fields.LIGHT_FROM), b)[1]
    found = yield from solving(patch, i, fixture, at, b)
    return found


def _by_hand(patch, i, fixture, led, n):
    """Give fixtures that are moved by hand the segment that they have reached. In pieces."""
    fades, setups, out = patch.fades, patch.setups, patch.channels
    k = min(fades[i * fields.FADE + fields.DONE] * n >> 16, n - 1)
    start = yield from _knot(patch, i, fixture, k, n)
    end = yield from _knot(patch, i, fixture, k + 1, n)
    for m in led:
        put(patch, m, fields.FROM, start)
        put(patch, m, fields.TO, end)
        out[setups[m * fields.SETUP + fields.CHANNELS_AT] + fields.NEXT] = 0
        setups[m * fields.SETUP + fields.SEGMENTS], setups[m * fields.SETUP + fields.SEGMENT] = n, k


def put(patch, i, field, found):
    """Write one field of all channels of a fixture."""
    for p, value in zip(channels(patch, i), found):
        patch.channels[p + field] = value


def values(patch, i, fixture, at, goal, field):
    """Work out one field (FROM, TO or END) of all channels of a fixture. at, goal: lights."""
    put(patch, i, field, resolve.finished(solving(patch, i, fixture, at, goal)))


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
