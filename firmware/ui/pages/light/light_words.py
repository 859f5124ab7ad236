"""Light in the words of the set: texts for levels, whites and the rest, in the units that the user has chosen. Used by
the Light page.

settings: those of the device (show/device_settings.py). A minus is the true sign, and a fraction is one character, as
the fonts have them.
"""

from firmware.light import level as levels
from firmware.light import white

TENTHS, THIRDS, HALVES, PERCENT = range(4)  # settings["level"]
LABELS = {"level": "Level", "cct": "White", "duv": "± Green", "hue": "Hue", "sat": "Saturation", "mix": "Colour"}
_THIRDS_AND_HALVES = {(1, 2): "½", (1, 3): "⅓", (2, 3): "⅔"}
_EIGHTHS = {"1/8": "⅛", "1/4": "¼", "1/2": "½", "full": "1", "": "0"}


def level(settings, share):
    """A level, share 0..1 of full: "−1.5", "−1⅓", "35 %", "full", "out"."""
    if share <= 0:
        return "out"
    unit = settings["level"]
    if unit == PERCENT:
        return "%d %%" % (share * 100 + 0.5) if share >= 0.01 else "%.1f %%" % (share * 100)
    stops = -levels.stops(share)  # under full
    if stops < 0.005:
        return "full"
    if unit == TENTHS:
        return "−%.1f" % max(0.1, stops)
    n = 3 if unit == THIRDS else 2
    whole, part = divmod(int(stops * n + 0.5), n)
    if not whole and not part:
        return "−%.1f" % max(0.1, stops)  # less than half a mark under full
    return "−" + (str(whole) if whole else "") + _THIRDS_AND_HALVES.get((part, n), "")


def text(settings, what, value):
    """A value with its unit. what: a parameter of light, or a raw channel; value: in the parameter's unit, or 0..65535
    of a raw channel."""
    if what == "level":
        return level(settings, value)
    if what == "cct":
        return "%d mired" % (1e6 / value + 0.5) if settings["white"] else "%d K" % value
    if what == "duv":
        return green(settings, value)
    if what == "hue":
        return "%d°" % (value + 0.5)
    if what in LABELS:
        return "%d %%" % (value * 100 + 0.5)
    return "%d" % (value / 257 + 0.5)


def green(settings, duv):
    """Green + or magenta −: "+0.006" (Duv), or the nearest fraction of correction: "+¼"."""
    if settings["green"]:
        name = white.green_fraction(duv)
        sign = "+" if name[0] == "+" else "−" if name[0] == "-" else ""
        return sign + _EIGHTHS[name[1:] if sign else ""]
    if abs(duv) < 0.0005:
        return "0"
    return ("+" if duv > 0 else "−") + "%.3f" % abs(duv)


def figure(settings, what, value):
    """A value as (figures for the big font, unit in small letters)."""
    number, _space, unit = text(settings, what, value).partition(" ")
    if what == "level" and unit != "%":
        return number.upper(), "stops" if number[0] == "−" else ""
    if what == "duv":
        return number, "green" if settings["green"] else "Duv"
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
