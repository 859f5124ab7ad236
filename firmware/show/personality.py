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
_SPAN = ((0, 1), (2700, 6500), (-0.02, 0.02), (0, 360), (0, 1), (0, 1))


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


# Generic personalities. Chromaticities and outputs of their emitters are typical figures for such LEDs
# (common practice, no source): a measured lamp gets its own.
_R, _G, _B = ("red", 0.690, 0.305, 0.25), ("green", 0.175, 0.700, 0.60), ("blue", 0.138, 0.048, 0.08)
_W = ("white", 0.3221, 0.3318, 1.00)
_WARM, _COOL = ("warm", 0.4599, 0.4106, 0.90), ("cool", 0.3135, 0.3237, 1.00)

_KINDS = (
    # id, name, parameters, emitters
    ("dim", "Dimmer", (LEVEL,), ()),
    ("white", "Dimmer + CCT", (LEVEL, CCT), ()),
    ("tint", "Dimmer + CCT + green", (LEVEL, CCT, DUV), ()),
    ("full", "White + colour", (LEVEL, CCT, DUV, MIX, HUE, SAT), ()),
    ("rgb", "RGB", (), (_R, _G, _B)),
    ("rgbw", "RGBW", (), (_R, _G, _B, _W)),
    ("rgbww", "RGB + warm + cool", (), (_R, _G, _B, _WARM, _COOL)),
)


def generic_ids():
    """Ids of the built-in personalities, in the order of the list on the Rig page."""
    ids = []
    for kind in _KINDS:
        ids.append(kind[0])
        ids.append(kind[0] + "16")
    return ids + ["raw%d" % n for n in range(1, 33)]


def generic(ident):
    """The built-in personality of that id: "dim", "dim16", ... "raw1".."raw32". Errors: KeyError."""
    if ident.startswith("raw") and ident[3:].isdigit() and 1 <= int(ident[3:]) <= 32:
        n = int(ident[3:])
        channels = [("slot%d" % (i + 1), i, -1, 0, 255, 0, 0) for i in range(n)]
        return Personality(ident, "Raw, %d slot%s" % (n, "" if n == 1 else "s"), channels)
    for kind, name, params, emitters in _KINDS:
        if ident in (kind, kind + "16"):
            wide = ident != kind
            return Personality(ident, name + (" 16 bit" if wide else ""), _channels(params, emitters, wide), emitters)
    raise KeyError(ident)


def _channels(params, emitters, wide):
    step = 2 if wide else 1
    out = []
    for p in params:
        slot = len(out) * step
        out.append((PARAMS[p], slot, slot + 1 if wide else -1, _SPAN[p][0], _SPAN[p][1], 0, 0))
    for e in emitters:
        slot = len(out) * step
        out.append((e[0], slot, slot + 1 if wide else -1, 0, 1, 0, 0))
    return out
