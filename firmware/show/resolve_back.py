"""Slots -> light: the inverse of resolve.py and of the stage's tick. Called when a feed is grabbed, and when the pocket
takes a lamp over from it.

What comes back gives the same slots again, but for this:
* A lamp of four emitters and more can make one colour in many ways; the light read gives the slots that resolve
  chooses, of the same colour and level. The same where coloured emitters stand beside a dimmer that is not at full.
* Sixteen-bit slots are read to the steps that light is kept in: 1 K, 0.00001 Duv, 0.01 degree, 0.01 %.
* Hue at the very end of its slot (360 degrees) reads as 359.99.
* A dimming curve that is flat over some slots, or jumps over some, gives the nearest slot that it has.
"""

from firmware.light import chromaticity, emitters
from firmware.show.fixture_light import CCT, DUV, EXTRAS, HUE, LEVEL, LIMITS, MIX, PARAMS, SAT, SCALE, unlit
from firmware.show.resolve import prepared
from firmware.universe import SLOTS

_FULL = 65535
_WHITE_DUV = 0.02  # this near the Planckian locus a mix is read as a white
_WARMEST, _COOLEST = 1500, 15000


def read(fixture, frame, table=None, whites=None):
    """The light of a fixture whose slots stand in `frame` (a whole universe): a light.

    table: the array of its dimming curve (light.curves), None for a linear one. whites: where its white is measured,
    the function (cct, duv) -> (setting 0..1, green, miss) of its patch.
    """
    p = fixture.personality
    light, shares = unlit(), [0.0] * len(p.emitters)
    level = _FULL
    for does, coarse, fine, low, high, _default, _snap in p.channels:
        value = _value(frame, fixture.address - 1, coarse, fine)
        if does == "level":
            level = _undimmed(table, value)
        elif does == "cct" and whites:
            light[CCT] = _warmth(whites, value / _FULL)
        elif does in PARAMS:
            _param(light, PARAMS.index(does), low + value * (high - low) / _FULL)
        elif does in p.emitter_at:
            shares[p.emitter_at[does]] = value
        else:
            light[EXTRAS][does] = value
    light[LEVEL] = _units(level)
    if whites:  # what it gives by itself at that setting, and what its green channel adds
        _param(light, DUV, light[DUV] / SCALE[DUV] - whites(light[CCT], 0)[1])
    if p.emitters:
        _emitters(p, light, shares, table)
    return light


def raw(rig, frame, count):
    """The slots of nobody among the first `count`, as runs [first slot, value, value ...]; slots that are 0 are left
    out."""
    used, runs, run = rig.used(), [], None
    for i in range(count):
        if used[i] or not frame[i]:
            run = None
        elif run is None:
            run = [i + 1, frame[i]]
            runs.append(run)
        else:
            run.append(frame[i])
    return runs


def grab(stage, frame, count):
    """What a look keeps of a frame of `count` slots: {uid: light} of the fixtures that lie in it, and
    under 0 the slots of nobody in the first universe, as `raw`."""
    out, rig = {}, stage.show.rig
    for f in rig.fixtures:
        if f.last() <= count:
            out[f.uid] = read(f, frame, *stage.trims(f))
    runs = raw(rig, frame, min(count, SLOTS))
    if runs:
        out[0] = runs
    return out


def _value(frame, first, coarse, fine):
    value = frame[first + coarse]
    return value << 8 | frame[first + fine] if fine >= 0 else value * 257


def _param(light, p, value):
    value = int(value * SCALE[p] + (0.5 if value >= 0 else -0.5))
    light[p] = max(LIMITS[p][0], min(LIMITS[p][1], value))


def _units(share):
    """0..65535 of a slot as 0..65536 of level."""
    return share + (share >> 15)


def _warmth(whites, setting):
    """The whole K that a measured lamp gives at a setting 0..1 of its slot."""
    low, high = LIMITS[CCT]
    ends = whites(low, 0)[0], whites(high, 0)[0]
    setting = max(min(ends), min(max(ends), setting))
    up = ends[1] > ends[0]
    first = _first(lambda k: whites(k, 0)[0] >= setting if up else whites(k, 0)[0] <= setting)
    past = _first(lambda k: whites(k, 0)[0] > setting if up else whites(k, 0)[0] < setting)
    if first <= low:  # its warm end: all asks below have the same setting
        return past - 1
    if past > high or abs(whites(first, 0)[0] - setting) <= abs(whites(first - 1, 0)[0] - setting):
        return first
    return first - 1


def _first(true):
    """The lowest K of the limits from which on a condition is true; one above them where it never is."""
    low, high = LIMITS[CCT][0], LIMITS[CCT][1] + 1
    while low < high:
        middle = (low + high) >> 1
        if true(middle):
            high = middle
        else:
            low = middle + 1
    return low


def _undimmed(table, value):
    """The wanted light 0..65535 that a dimming curve turns into `value`, or comes nearest to it with."""
    if table is None or not value:
        return value
    from firmware.light import curves  # only rigs with trims pay for it

    low, high = 0, _FULL
    while low < high:
        middle = (low + high) >> 1
        if curves.apply(table, middle) < value:
            low = middle + 1
        else:
            high = middle
    return low


def _emitters(p, light, shares, table):
    """Set level and colour from the drives 0..65535 of the emitters."""
    if not p.has_dimmer and table is not None:
        shares = [_undimmed(table, s) for s in shares]
    mix = prepared(p)
    x, y, bright = emitters.read(mix, [s / _FULL for s in shares])
    _colour(light, x, y)
    if not bright:
        light[LEVEL] = 0
        return
    most = emitters.solve(mix, x, y)[1]
    units = light[LEVEL] if p.has_dimmer else SCALE[LEVEL]
    light[LEVEL] = max(0, min(SCALE[LEVEL], int(units * bright / most + 0.5)))


def _colour(light, x, y):
    """A chromaticity as a white where it is near one, else as hue and saturation over the white that light has."""
    cct, duv = chromaticity.cct_duv(x, y)
    if abs(duv) <= _WHITE_DUV and _WARMEST <= cct <= _COOLEST:
        _param(light, CCT, cct)
        _param(light, DUV, duv)
        light[HUE] = light[SAT] = light[MIX] = 0
        return
    hue, sat = chromaticity.hue_sat(x, y, light[CCT], light[DUV] / SCALE[DUV])
    _param(light, HUE, hue % 360)
    _param(light, SAT, sat)
    light[MIX] = SCALE[MIX]
