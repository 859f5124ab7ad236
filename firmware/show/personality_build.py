"""Makes personalities: checks what they are made of, and reads and writes them as plain values for files."""

from firmware.show.fixture_light import PARAMS, SCALE
from firmware.show.personality import Personality
from firmware.universe import SLOTS

_FULL = 65535
_XY = 10000  # one unit of an emitter's x, y and output in a file


def build(ident, name, channels, emitters=()):
    """A personality of these channels and emitters (personality.py). Errors: ValueError that names the channel and what
    is wrong with it."""
    channels = tuple([tuple(c) for c in channels])
    emitters = tuple([tuple(e) for e in emitters])
    return Personality(ident, name, channels, emitters, _slots(ident, channels, emitters))


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
    return build(data["id"], data["name"], channels, emitters)


def _unit(does):
    return SCALE[PARAMS.index(does)] if does in PARAMS else 1


def _slots(ident, channels, emitters):
    """How many slots the channels fill. Errors: as build."""
    taken = {}
    if not 1 <= len(channels) <= SLOTS:
        raise ValueError("%s: %d channels, can be 1 to %d" % (ident, len(channels), SLOTS))
    if emitters and not 2 <= len(emitters) <= 7:
        raise ValueError("%s: %d emitters, a mix takes 2 to 7" % (ident, len(emitters)))
    for c in channels:
        if len(c) != 7:
            raise ValueError("%s: channel %s has %d fields, needs 7" % (ident, c[0], len(c)))
        does, coarse, fine, low, high, default, _snap = c
        if not isinstance(does, str) or not does:
            raise ValueError("%s: a channel without a name" % ident)
        if low == high:
            raise ValueError("%s: %s has no range (%s to %s)" % (ident, does, low, high))
        if not 0 <= default <= _FULL:
            raise ValueError("%s: %s default %s is outside 0-65535" % (ident, does, default))
        for slot in (coarse, fine) if fine >= 0 else (coarse,):
            if not 0 <= slot < SLOTS:
                raise ValueError("%s: %s slot %d is outside 1-%d" % (ident, does, slot + 1, SLOTS))
            if slot in taken:
                raise ValueError("%s: slot %d is both %s and %s" % (ident, slot + 1, taken[slot], does))
            taken[slot] = does
    return max(taken) + 1
