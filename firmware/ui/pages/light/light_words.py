"""Light in the words of the set: texts for levels, whites and the rest, in the units that the kit says. Used by pages.

kit: the settings (settings.py). Minus signs are true ones, fractions one character, as the fonts have them.
"""

from firmware.light import level as levels
from firmware.light import white

TENTHS, THIRDS, HALVES, PERCENT = range(4)  # kit["level"]
LABELS = {"level": "Level", "cct": "White", "duv": "± Green", "hue": "Hue", "sat": "Saturation", "mix": "Colour"}
_PARTS = {(1, 2): "½", (1, 3): "⅓", (2, 3): "⅔"}
_FRACTIONS = {"1/8": "⅛", "1/4": "¼", "1/2": "½", "full": "1", "": "0"}


def level(kit, share):
    """A level: "−1.5", "−1⅓", "35 %", "full", "out"."""
    if share <= 0:
        return "out"
    unit = kit["level"]
    if unit == PERCENT:
        return "%d %%" % (share * 100 + 0.5) if share >= 0.01 else "%.1f %%" % (share * 100)
    under = -levels.stops(share)
    if under < 0.005:
        return "full"
    if unit == TENTHS:
        return "−%.1f" % max(0.1, under)
    n = 3 if unit == THIRDS else 2
    whole, part = divmod(int(under * n + 0.5), n)
    if not whole and not part:
        return "−%.1f" % max(0.1, under)  # less than half a mark under full
    return "−" + (str(whole) if whole else "") + _PARTS.get((part, n), "")


def text(kit, what, value):
    """A value with its unit. what: a light parameter or a raw channel; value in its unit; raw channels 0..65535."""
    if what == "level":
        return level(kit, value)
    if what == "cct":
        return "%d mired" % (1e6 / value + 0.5) if kit["white"] else "%d K" % value
    if what == "duv":
        return green(kit, value)
    if what == "hue":
        return "%d°" % (value + 0.5)
    if what in LABELS:
        return "%d %%" % (value * 100 + 0.5)
    return "%d" % (value / 257 + 0.5)


def green(kit, duv):
    """Green + or magenta −: "+0.006" (Duv), or the nearest fraction of correction: "+¼"."""
    if kit["green"]:
        name = white.green_fraction(duv)
        sign = "+" if name[0] == "+" else "−" if name[0] == "-" else ""
        return sign + _FRACTIONS[name[1:] if sign else ""]
    if abs(duv) < 0.0005:
        return "0"
    return ("+" if duv > 0 else "−") + "%.3f" % abs(duv)


def figure(kit, what, value):
    """A value as (figures for the big font, unit in small letters)."""
    number, _space, unit = text(kit, what, value).partition(" ")
    if what == "level" and unit != "%":
        return number.upper(), "stops" if number[0] == "−" else ""
    if what == "duv":
        return number, "green" if kit["green"] else "Duv"
    return number, unit


def gauge(what, value, span):
    """Where a value stands between the ends of its range, 0..65536. Levels by stops, eight under full."""
    if what == "level":
        share = 1 + levels.stops(value) / 8 if value > 0 else 0
    elif what == "cct":
        share = (1e6 / span[0] - 1e6 / value) / (1e6 / span[0] - 1e6 / span[1])
    else:
        share = (value - span[0]) / (span[1] - span[0])
    return int(max(0, min(1, share)) * 65536)
