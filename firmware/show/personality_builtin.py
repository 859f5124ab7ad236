"""The built-in personalities: dimmers, white lamps, colour mixes, raw slots. Loaded by rig.Rig when one is asked for,
then dropped. A new one is a line of _KINDS."""

from firmware.show.fixture_light import CCT, DUV, HUE, LEVEL, MIX, PARAMS, SAT
from firmware.show.personality_build import build

# Physical range of each parameter, in the order of PARAMS.
_SPAN = ((0, 1), (2700, 6500), (-0.02, 0.02), (0, 360), (0, 1), (0, 1))

# Chromaticities and outputs of their emitters are typical figures for such LEDs
# (common practice, no source): a measured lamp gets those that were measured.
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
    ("rgbww", "RGBWW", (), (_R, _G, _B, _WARM, _COOL)),
)


def idents():
    """The ids of the built-in personalities, in the order of the list on the Rig page."""
    ids = []
    for ident, _name, _params, _emitters in _KINDS:
        ids += [ident, ident + "16"]
    return ids + ["raw%d" % n for n in range(1, 33)]


def personality(ident):
    """The built-in personality of an id: "dim", "dim16", ... "raw1" to "raw32". Errors: ValueError: there is none."""
    if ident.startswith("raw") and ident[3:].isdigit() and 1 <= int(ident[3:]) <= 32:
        n = int(ident[3:])
        channels = [("slot%d" % (i + 1), i, -1, 0, 255, 0, 0) for i in range(n)]
        return build(ident, "Raw, %d slot%s" % (n, "" if n == 1 else "s"), channels)
    for kind, name, params, emitters in _KINDS:
        if ident in (kind, kind + "16"):
            wide = ident != kind
            return build(ident, name + (" 16 bit" if wide else ""), _channels(params, emitters, wide), emitters)
    raise ValueError("No personality called %s" % ident)


def _channels(params, emitters, wide):
    step = 2 if wide else 1
    out = []
    for p in params:
        slot, (low, high) = len(out) * step, _SPAN[p]
        out.append((PARAMS[p], slot, slot + 1 if wide else -1, low, high, 0, 0))
    for name, _x, _y, _out in emitters:
        slot = len(out) * step
        out.append((name, slot, slot + 1 if wide else -1, 0, 1, 0, 0))
    return out
