"""The rig as the arrays that the tick's loops run over (fields.py). Built anew by the stage when the rig changes,
which loads this module for it."""

from array import array

from micropython import const

from firmware.show.personality import PARAMS, START
from firmware.stage import fade
from firmware.stage import patch_fields as fields
from firmware.stage.fade import keyed

_S_LENGTH = const(257)
_BY_HAND_MS = const(600000)


class Patch:
    """Arrays for one rig: par, fx, fh, ch, tables; places: {uid: place in the rig}. It has no methods: they would keep
    this module's code."""


def build(rig, old=None, gone=None):
    """The Patch of a rig. Fixtures that are in `old`, the patch before, go on as there. gone: {uid: light} of those
    that were taken out of the rig, brought up to date."""
    fixtures, patch = rig.fixtures, Patch()
    count = len(fixtures)
    patch.par = array("i", [count, 0, fields.ONE, 0])
    patch.fx = array("i", bytes(4 * fields.STRIDE * count))
    patch.fh = array("H", bytes(2 * fields.HALF * count))
    patch.keyed = bytes([i for i, f in enumerate(fixtures) if keyed(f)])  # places of those that need keyframes
    patch.extras = {}  # place: raw channels of both ends, where it is asked for some
    patch.whites = {}  # place: (cct, duv) -> (setting 0..1, green, miss), where the white is measured
    patch.faults = []  # trims that cannot be used, in words
    patch.miss = array("f", [0] * count)  # CIE 1976 u'v' from the colour asked for to the one it can give
    patch.tables, known = soft_curve(), {}
    first = 0
    for i, f in enumerate(fixtures):
        first = _fixture(patch, i, f, first, known)
    patch.ch = array("i", bytes(4 * first))
    for i, f in enumerate(fixtures):
        _rest(patch, i, f)
    patch.places = {f.uid: i for i, f in enumerate(fixtures)}
    was, gone = old.places if old else {}, {} if gone is None else gone
    for uid in was:
        if uid not in patch.places:
            gone[uid] = fade.light(old, was[uid], fields.LIGHT_B)
    for i, f in enumerate(fixtures):
        if f.uid in was:
            _go_on(patch, i, f, old, was[f.uid])
        else:
            light = gone.pop(f.uid, (START, {}))
            fade.begin(patch, i, f, light, light, 0, 0, 0)
    return patch


def _go_on(patch, i, f, old, k):
    """Fixture i was fixture k of the patch before."""
    a, b = fade.light(old, k, fields.LIGHT_A), fade.light(old, k, fields.LIGHT_B)
    curve, k, o = old.fh[k * fields.HALF + fields.CURVE], k * fields.STRIDE, i * fields.STRIDE
    start, length, u = old.fx[k + fields.START], old.fx[k + fields.LENGTH], old.fx[k + fields.U]
    # A fade by hand has no length of its own: begin needs one to see that it is under way.
    fade.begin(patch, i, f, a, b, start, length or (_BY_HAND_MS if u < fields.ONE else 0), curve)
    patch.fx[o + fields.LENGTH] = length
    patch.fx[o + fields.U] = u


def _trims(patch, i, f, known):
    """Take up a fixture's white trim -> where its dimming map begins in tables. What is wrong goes to faults."""
    try:
        if "white" in f.trims:
            patch.whites[i] = _white(f)
        return _table(patch.tables, known, f)
    except (ValueError, TypeError, IndexError) as e:
        patch.faults.append("%s: trim left out: %s" % (f.name, e))
        return 0


def _fixture(patch, i, f, first, known):
    """Fill the fields of fixture i, whose channels begin at `first` -> where the next one's do."""
    fx, o, fh, h = patch.fx, i * fields.STRIDE, patch.fh, i * fields.HALF
    fx[o + fields.U] = fx[o + fields.T_LINE] = fx[o + fields.T_WHITE] = fields.ONE
    fh[h + fields.KELVIN_A] = fh[h + fields.KELVIN_B] = 32767
    fh[h + fields.SEGMENTS] = 1
    fh[h + fields.FREE] = 1 if f.trims.get("free") else 0
    fh[h + fields.ADDRESS] = f.address - 1
    fh[h + fields.FIRST] = first
    fh[h + fields.WIDTH] = 3 if keyed(f) else 2
    fh[h + fields.TABLE] = _trims(patch, i, f, known)
    channels = f.personality.channels
    key = id(f.personality), keyed(f)
    if key not in known:
        known[key] = len(patch.tables)
        patch.tables.extend(_form(f))
    fh[h + fields.CHANNELS] = known[key]
    fh[h + fields.CHANNELS_END] = known[key] + fields.FORM * len(channels)
    return first + len(channels) * fh[h + fields.WIDTH]


def _form(f):
    """What the loops must know of the channels of a fixture's personality."""
    out = array("H")
    for channel in f.personality.channels:
        fine = channel[2]
        out.extend(array("H", (channel[1], fine + 1 if fine >= 0 else 0, _flags(f, channel[0]))))
    return out


def _flags(f, does):
    p = f.personality
    if does == "level" or (does in p.emitter_at and not p.has_dimmer):
        return fields.SCALED
    if does == "cct" and not keyed(f):
        return fields.WHITE
    return fields.AROUND if does == "hue" else 0


def _rest(patch, i, f):
    """Set the channels of fixture i to what they are where nothing is asked."""
    h = i * fields.HALF
    p = patch.fh[h + fields.FIRST]
    for channel in f.personality.channels:
        patch.ch[p + fields.A] = patch.ch[p + fields.B] = fields.BIAS + (0 if channel[0] in PARAMS else channel[5])
        p += patch.fh[h + fields.WIDTH]


def _white(fixture):
    """A function (cct, duv) -> (setting 0..1, green, miss) from trims "white": readings [setting 0..65535, K, Duv in
    1/100000]. Errors: ValueError naming the reading."""
    from firmware.light import trims  # only rigs with such a trim pay for it

    mapped = trims.white_map([(s / 65535, k, d / 100000) for s, k, d in fixture.trims["white"]])
    return lambda cct, duv: trims.white_setting(mapped, cct, duv)


def soft_curve():
    """The S curve 3u^2 - 2u^3 as array('H'): 257 entries over u = 0..1, 0..65535."""
    out = array("H", bytes(2 * _S_LENGTH))
    for i in range(_S_LENGTH):
        out[i] = i * i * (768 - 2 * i) * 65535 + (1 << 23) >> 24
    return out


def _table(tables, known, f):
    """Where the inverse map of a fixture's dimming curve begins in `tables`; 0 for a linear one.

    trims "curve": a name, or measured points [drive, light] of 0..65535; "strike": drive 0..65535 at which it lights.
    """
    curve, strike = f.trims.get("curve", "linear"), f.trims.get("strike", 0)
    if curve == "linear" and not strike:
        return 0
    key = repr((curve, strike))
    if key not in known:
        from firmware.light import curves  # only rigs with trims pay for it

        known[key] = len(tables)
        if isinstance(curve, str):
            tables.extend(curves.table(curve, strike / 65535))
        else:
            tables.extend(curves.from_points([(d / 65535, y / 65535) for d, y in curve], strike / 65535))
    return known[key]
