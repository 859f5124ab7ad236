"""Light in the words of the set: texts for levels, whites and the rest. Used by the pages."""

from math import log

_UNITS = ("level", "cct", "duv", "hue", "sat", "mix")
LABELS = {
    "level": "Level",
    "cct": "White",
    "duv": "± Green",
    "hue": "Hue",
    "sat": "Saturation",
    "mix": "White/colour",
}


def stops(share):
    """Level as stops under full: 0.5 -> "-1.0 st"; 0 -> "out"; 1 -> "full"."""
    if share <= 0:
        return "out"
    under = round(log(share) / log(2), 1)
    return "full" if under >= 0 else "%.1f st" % under


def figure(param, value):
    """A value as (figures and capitals for the big font, the unit in small)."""
    words = text(param, value).upper()
    number, _space, unit = words.partition(" ")
    return number, {"ST": "stops", "K": "K"}.get(unit, unit)


def text(param, value):
    """A parameter's value with its unit. value in the unit of the parameter; raw channels 0..65535."""
    if param == "level":
        return stops(value)
    if param == "cct":
        return "%d K" % value
    if param == "duv":
        return "%+.3f" % value if abs(value) >= 0.0005 else "0"
    if param == "hue":
        return "%d°" % value
    if param in _UNITS:
        return "%d %%" % round(value * 100)
    return "%d" % (value / 257)
