"""What each slot of a fixture does. Read by the rig (addresses), resolve (light -> slots), host and pages.

A channel is a tuple (does, coarse, fine, low, high, default, snap):
does     one of PARAMS, an emitter's name, or a name of the fixture's own (a raw channel)
coarse   slot offset from the start address, 0-based; fine: offset of the low byte, -1 without
low,high physical range from slot 0 to full, in the unit of `does` (K, Duv, degrees, share)
default  0..65535 where nothing is asked of it (raw channels)
snap     1: jumps at the start of a fade, never passes through values between
An emitter is a tuple (name, x, y, out): CIE 1931 chromaticity, relative light at full.
"""

PARAMS = ("level", "cct", "duv", "hue", "sat", "mix")
LEVEL, CCT, DUV, HUE, SAT, MIX = range(6)
# One unit of a parameter in the integers that looks and the stage hold.
SCALE = (65536, 1, 100000, 100, 10000, 10000)
# What a fixture that has just been patched is asked for: out, white.
START = (0, 4300, 0, 0, 0, 0)
LIMITS = ((0, 65536), (1000, 20000), (-5000, 5000), (0, 35999), (0, 10000), (0, 10000))

_FULL = 65535
_XY = 10000  # one unit of an emitter's x, y and output in a file


class Personality:
    """One personality: `channels`, `emitters`, the count of `slots` it fills, and prepared look-ups."""

    def __init__(self, ident, name, channels, emitters=()):
        """Errors: ValueError that names the channel and what is wrong with it."""
        self.id = ident
        self.name = name
        self.channels = tuple(tuple(c) for c in channels)
        self.emitters = tuple(tuple(e) for e in emitters)
        self.slots = _check(self)
        self.emitter_at = {e[0]: i for i, e in enumerate(self.emitters)}
        self.has_dimmer = any(c[0] == "level" for c in self.channels)
        self.mix = None  # the prepared emitter solution, made at first use by resolve

    def has(self, param):
        """True if a light parameter (a name of PARAMS) does something on this lamp."""
        if param == "level":
            return self.has_dimmer or bool(self.emitters)
        if self.emitters and param != "mix":
            return True
        return any(c[0] == param for c in self.channels)

    def extras(self):
        """Names of the raw channels, in slot order."""
        return [c[0] for c in self.channels if c[0] not in PARAMS and c[0] not in self.emitter_at]

    def pack(self):
        """Plain JSON values without fractions (files hold whole numbers): what `unpack` takes."""
        channels = [list(c) for c in self.channels]
        for c in channels:
            unit = _unit(c[0])
            c[3], c[4] = int(round(c[3] * unit)), int(round(c[4] * unit))
        emitters = [[e[0]] + [int(round(v * _XY)) for v in e[1:]] for e in self.emitters]
        return {"id": self.id, "name": self.name, "channels": channels, "emitters": emitters}


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


def _check(p):
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
