"""Channels of a personality: checked when it is made, and as plain values for files. Needed while the rig changes."""

from firmware.show.personality import PARAMS, SCALE, Personality

_FULL = 65535
_XY = 10000  # one unit of an emitter's x, y and output in a file


def pack(p):
    """Plain JSON values without fractions (files hold whole numbers): what `unpack` takes."""
    channels = [list(c) for c in p.channels]
    for c in channels:
        unit = _unit(c[0])
        c[3], c[4] = int(round(c[3] * unit)), int(round(c[4] * unit))
    emitters = [[e[0]] + [int(round(v * _XY)) for v in e[1:]] for e in p.emitters]
    return {"id": p.id, "name": p.name, "channels": channels, "emitters": emitters}


def unpack(data):
    """Personality from what `pack` gives. Errors: ValueError with what is wrong, KeyError for a missing key."""
    channels = [list(c) for c in data["channels"]]
    for c in channels:
        unit = _unit(c[0])
        c[3], c[4] = c[3] / unit, c[4] / unit
    emitters = [(e[0], e[1] / _XY, e[2] / _XY, e[3] / _XY) for e in data["emitters"]]
    return Personality(data["id"], data["name"], channels, emitters)


def _unit(does):
    return SCALE[PARAMS.index(does)] if does in PARAMS else 1


def check(p):
    """How many slots its channels fill. Errors: ValueError that names the channel and what is wrong with it."""
    taken = {}
    if not 1 <= len(p.channels) <= 512:
        raise ValueError("%s: %d channels, can be 1 to 512" % (p.id, len(p.channels)))
    if p.emitters and not 2 <= len(p.emitters) <= 7:
        raise ValueError("%s: %d emitters, a mix takes 2 to 7" % (p.id, len(p.emitters)))
    for c in p.channels:
        if len(c) != 7:
            raise ValueError("%s: channel %s has %d fields, needs 7" % (p.id, c[0], len(c)))
        does, coarse, fine, low, high, default, _snap = c
        if not isinstance(does, str) or not does:
            raise ValueError("%s: a channel without a name" % p.id)
        if low == high:
            raise ValueError("%s: %s has no range (%s to %s)" % (p.id, does, low, high))
        if not 0 <= default <= _FULL:
            raise ValueError("%s: %s default %s is outside 0-65535" % (p.id, does, default))
        for slot in (coarse, fine) if fine >= 0 else (coarse,):
            if not 0 <= slot < 512:
                raise ValueError("%s: %s slot %d is outside 1-512" % (p.id, does, slot + 1))
            if slot in taken:
                raise ValueError("%s: slot %d is both %s and %s" % (p.id, slot + 1, taken[slot], does))
            taken[slot] = does
    return max(taken) + 1
