"""The rig as the arrays that the tick's loops run over (fields.py). Built anew by the stage when the rig changes,
which loads this module for it."""

from array import array

from firmware.show.personality import PARAMS
from firmware.stage import fields
from firmware.stage.fade import keyed

_S_LENGTH = 257


class Patch:
    """Arrays for one rig: par, fx, ch, tables, and `spans`: (first, past last) channel of each fixture.

    It has no methods: they would keep this module's code."""


def lay(rig):
    """The Patch of a rig, with all fixtures at rest."""
    fixtures, patch = rig.fixtures, Patch()
    count = sum(len(f.personality.channels) for f in fixtures)
    patch.par = array("i", [len(fixtures), count, 0, fields.ONE, 0, 0])
    patch.fx = array("i", bytes(4 * fields.STRIDE * max(1, len(fixtures))))
    patch.ch = array("i", bytes(4 * fields.WIDTH * max(1, count)))
    patch.spans = []
    patch.keyed = sum(1 for f in fixtures if keyed(f))  # how many need keyframes
    patch.whites = {}  # place: (cct, duv) -> (setting 0..1, green, miss), where the white is measured
    patch.faults = []  # trims that cannot be used, in words
    patch.miss = [0.0] * len(fixtures)  # CIE 1976 u'v' from the colour asked for to the one it can give
    patch.tables, known = soft_curve(), {}
    c = 0
    for i, f in enumerate(fixtures):
        _fixture(patch.fx, i * fields.STRIDE, f)
        first = c
        table = _trims(patch, i, f, known)
        for channel in f.personality.channels:
            _channel(patch.ch, c * fields.WIDTH, i, f, channel, table)
            c += 1
        patch.spans.append((first, c))
    return patch


def _trims(patch, i, f, known):
    """Take up a fixture's white trim -> where its dimming map begins in tables. What is wrong goes to faults."""
    try:
        if "white" in f.trims:
            patch.whites[i] = _white(f)
        return _table(patch.tables, known, f)
    except (ValueError, TypeError, IndexError) as e:
        patch.faults.append("%s: trim left out: %s" % (f.name, e))
        return 0


def _fixture(fx, o, f):
    fx[o + fields.U] = fx[o + fields.T_LINE] = fx[o + fields.T_WHITE] = fields.ONE
    fx[o + fields.KELVIN_A] = fx[o + fields.KELVIN_B] = 32767
    fx[o + fields.SEGMENTS] = 1
    fx[o + fields.FREE] = 1 if f.trims.get("free") else 0


def _channel(ch, p, i, f, channel, table):
    p_ = f.personality
    does, coarse, fine = channel[0], channel[1], channel[2]
    flags = 0
    if does == "level" or (does in p_.emitter_at and not p_.has_dimmer):
        flags = fields.SCALED
        ch[p + fields.TABLE] = table
    elif does == "cct" and not keyed(f):
        flags = fields.WHITE
    elif does == "hue":
        flags = fields.AROUND
    ch[p + fields.COARSE] = f.address - 1 + coarse
    ch[p + fields.FINE] = f.address + fine if fine >= 0 else 0
    ch[p + fields.OWNER] = i * fields.STRIDE
    ch[p + fields.FLAGS] = flags
    ch[p + fields.A] = ch[p + fields.B] = fields.BIAS + (0 if does in PARAMS else channel[5])


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
