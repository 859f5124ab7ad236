"""Makes personalities: checks what they consist of, and turns them into plain values for files and back."""

from firmware.show.fixture_light import PARAMS, SCALE
from firmware.show.personality import Personality
from firmware.universe import SLOTS

_FULL = 65535
_XY = 10000  # one unit of an emitter's x, y and output in a file


def build(ident, name, channels, emitters=()):
    """A personality of these channels and emitters, which personality.py describes. Errors: ValueError that names the
    channel and what is wrong with it."""
    channels = tuple([tuple(c) for c in channels])
    emitters = tuple([tuple(e) for e in emitters])
    return Personality(ident, name, channels, emitters, _slots(ident, channels, emitters))


def pack(p):
    """A personality as plain JSON values without fractions, as `unpack` takes them."""
    channels = []
    for does, coarse, fine, low, high, default, snap in p.channels:
        unit = _unit(does)
        channels.append([does, coarse, fine, int(round(low * unit)), int(round(high * unit)), default, snap])
    emitters = [[name] + [int(round(v * _XY)) for v in (x, y, out)] for name, x, y, out in p.emitters]
    return {"id": p.id, "name": p.name, "channels": channels, "emitters": emitters}


def unpack(data):
    """A personality from what `pack` gave. Errors: ValueError: what is wrong; KeyError: a key that is missing."""
    channels = []
    for channel in data["channels"]:
        does, coarse, fine, low, high = channel[:5]
        unit = _unit(does)
        channels.append([does, coarse, fine, low / unit, high / unit] + list(channel[5:]))
    emitters = [(name, x / _XY, y / _XY, out / _XY) for name, x, y, out in data["emitters"]]
    return build(data["id"], data["name"], channels, emitters)


def _unit(does):
    return SCALE[PARAMS.index(does)] if does in PARAMS else 1


def _slots(ident, channels, emitters):
    """How many slots the channels take. Errors: as build."""
    taken = {}
    if not 1 <= len(channels) <= SLOTS:
        raise ValueError("%s: %d channels, can be 1 to %d" % (ident, len(channels), SLOTS))
    if emitters and not 2 <= len(emitters) <= 7:
        raise ValueError("%s: %d emitters, a mix takes 2 to 7" % (ident, len(emitters)))
    for channel in channels:
        if len(channel) != 7:
            raise ValueError("%s: channel %s has %d fields, needs 7" % (ident, channel[0], len(channel)))
        does, coarse, fine, low, high, default, _snap = channel
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
