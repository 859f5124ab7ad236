"""The rig as the arrays that the tick's loops run over (patch_fields.py). The stage loads this module when the rig
changes."""

from array import array

from firmware.parts import Part
from firmware.show.fixture_light import PARAMS, unlit
from firmware.stage import fade
from firmware.stage import patch_fields as fields
from firmware.stage.fade import keyed


class Patch:
    """The arrays of one rig; places: {uid: place in the rig}. It has no methods: they would keep this module's code."""


def build(rig, old=None, gone=None):
    """The Patch of a rig. Fixtures that are in `old`, the patch before, go on as there. gone: {uid: light} of those
    that were taken out of the rig, brought up to date. The parts of `old` are closed; those of the new one its holder
    closes."""
    patch, done = Patch(), False
    # Code that stays with the patch, since its whites are functions of it; only rigs with such a trim pay for it.
    patch.parts = (Part("firmware.light.trims"),) if any("white" in f.trims for f in rig.fixtures) else ()
    try:
        _fill(patch, rig.fixtures, old, {} if gone is None else gone)
        done = True
    finally:
        for part in (old.parts if old else ()) if done else patch.parts:
            part.close()
    return patch


def _fill(patch, fixtures, old, gone):
    count = len(fixtures)
    patch.common = array("i", [count, 0, fields.ONE, 0])
    patch.fades = array("i", bytes(4 * fields.FADE * count))
    patch.setups = array("H", bytes(2 * fields.SETUP * count))
    patch.left = {}  # place: (light at both ends, how far), of fades that another began in the midst of
    patch.led = {}  # place: places of those that share what it needs
    patch.solves = 0  # how many different fades with keyframes go on
    patch.extras = {}  # place: raw channels of both ends, where it is asked for some
    patch.whites = {}  # place: (cct, duv) -> (setting 0..1, green, miss), where the white is measured
    patch.faults = []  # trims that cannot be used, in words
    patch.miss = array("f", [0] * count)  # CIE 1976 u'v' from the colour asked for to the one it can give
    patch.tables, known = soft_curve(), {}
    first = 0
    for i, f in enumerate(fixtures):
        first = _fixture(patch, i, f, first, known)
    patch.channels = array("i", bytes(4 * first))
    for i, f in enumerate(fixtures):
        _rest(patch, i, f)
    patch.places = {f.uid: i for i, f in enumerate(fixtures)}
    was = old.places if old else {}
    for uid in was:
        if uid not in patch.places:
            gone[uid] = fade.light(old, was[uid], fields.LIGHT_TO)
    for i, f in enumerate(fixtures):
        if f.uid in was:
            _go_on(patch, i, f, old, was[f.uid])
        else:
            light = gone.pop(f.uid, None) or unlit()
            if old:
                fade.begin(patch, i, f, light, light, 0, 0, fade.LINEAR)
            else:  # all are new, and wait for each other: equal ones are then worked out once
                fade.wait(patch, i, light, light, 0, 0, fade.LINEAR, fields.ONE)


def _go_on(patch, i, f, old, k):
    """Fixture i was fixture k of the patch before."""
    a, b = fade.light(old, k, fields.LIGHT_FROM), fade.light(old, k, fields.LIGHT_TO)
    o, h = k * fields.FADE, k * fields.SETUP
    patch.setups[i * fields.SETUP + fields.EXEMPT] |= old.setups[h + fields.EXEMPT] & fields.DARK
    how = (a, b, old.fades[o + fields.START], old.fades[o + fields.LENGTH], old.setups[h + fields.CURVE] & 1,
           old.fades[o + fields.DONE])
    there, here = fade.channels(old, k), fade.channels(patch, i)
    if how[-1] == fields.ONE or len(there) != len(here):
        fade.begin(patch, i, f, *how)
        return
    fade.wait(patch, i, *how)  # and meanwhile it shows what it did
    for p, q in zip(here, there):
        patch.channels[p + fields.FROM], patch.channels[p + fields.TO] = old.channels[q:q + 2]
    for field in (fields.PLACE, fields.WHITE_PLACE):
        patch.fades[i * fields.FADE + field] = old.fades[o + field]


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
    fades, o, setups, h = patch.fades, i * fields.FADE, patch.setups, i * fields.SETUP
    fades[o + fields.DONE] = fades[o + fields.PLACE] = fades[o + fields.WHITE_PLACE] = fields.ONE
    setups[h + fields.KELVIN_FROM] = setups[h + fields.KELVIN_TO] = 32767
    setups[h + fields.SEGMENTS] = 1
    setups[h + fields.EXEMPT] = 1 if f.trims.get("free") else 0
    setups[h + fields.ADDRESS] = f.address - 1
    setups[h + fields.CHANNELS_AT] = first
    setups[h + fields.CHANNEL_WIDTH] = 4 if keyed(f) else 3
    setups[h + fields.CURVE_AT] = _trims(patch, i, f, known)
    channels = f.personality.channels
    key = id(f.personality), repr(f.trims.get("white"))  # those of one form may share what is worked out
    if key not in known:
        known[key] = len(patch.tables)
        patch.tables.extend(_form(f))
    setups[h + fields.FORM_AT] = known[key]
    setups[h + fields.FORM_END] = known[key] + fields.FORM * len(channels)
    return first + len(channels) * setups[h + fields.CHANNEL_WIDTH]


def _form(f):
    """What the loops must know of the channels of a fixture's personality."""
    out = array("H")
    for channel in f.personality.channels:
        fine = channel[2]
        out.extend(array("H", (channel[1], fine + 1 if fine >= 0 else 0, _flags(f, channel[0], channel[6]))))
    return out


def _flags(f, does, snap):
    p, flags = f.personality, fields.SNAPS if snap else 0
    if does == "level" or (does in p.emitter_at and not p.has_dimmer):
        return flags | fields.SCALED
    if does == "cct" and not keyed(f):
        return flags | fields.WHITE
    return flags | fields.WRAPS if does == "hue" else flags


def _rest(patch, i, f):
    """Set the channels of fixture i to what they are where nothing is asked."""
    h = i * fields.SETUP
    p = patch.setups[h + fields.CHANNELS_AT]
    for channel in f.personality.channels:
        value = fields.BIAS + (0 if channel[0] in PARAMS else channel[5])
        for field in (fields.FROM, fields.TO, fields.END):
            patch.channels[p + field] = value
        p += patch.setups[h + fields.CHANNEL_WIDTH]


def _white(fixture):
    """A function (cct, duv) -> (setting 0..1, green, miss) from trims "white": readings [setting 0..65535, K, Duv in
    1/100000]. Errors: ValueError naming the reading."""
    from firmware.light import trims  # of the patch's part

    return trims.white_solver([(s / 65535, k, d / 100000) for s, k, d in fixture.trims["white"]])


def soft_curve():
    """The S curve 3u^2 - 2u^3 as array('H'): 257 entries over u = 0..1, 0..65535."""
    out = array("H", bytes(2 * fields.SOFT_SIZE))
    for i in range(fields.SOFT_SIZE):
        out[i] = i * i * (768 - 2 * i) * 65535 + (1 << 23) >> 24
    return out


def _table(tables, known, f):
    """Where the inverse map of a fixture's dimming curve begins in `tables`; 0 for a linear one.

    trims "curve": a name, or measured points [drive, light] of 0..65535; "strike": drive 0..65535 at which it lights;
    "most": per cent of the drive that it gets at full.
    """
    curve, strike, most = f.trims.get("curve", "linear"), f.trims.get("strike", 0), f.trims.get("most", 100)
    if curve == "linear" and not strike and most == 100:
        return 0
    key = repr((curve, strike, most))
    if key not in known:
        from firmware.light import curves  # only rigs with trims pay for it

        known[key] = len(tables)
        if isinstance(curve, str):
            table = curves.table(curve, strike / 65535)
        else:
            table = curves.from_points([(d / 65535, y / 65535) for d, y in curve], strike / 65535)
        tables.extend(array("H", [drive * most // 100 for drive in table]) if most < 100 else table)
    return known[key]
