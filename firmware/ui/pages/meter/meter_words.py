"""Light at the mark in words. Used by the pages of the meter. readings: show/meter_readings.Readings."""

from firmware.light import exposure, white

_FRACTIONS = {"1/8": "⅛", "1/4": "¼", "1/2": "½", "full": "1"}


def light(readings, lux):
    """A light in the unit that is chosen: "240 lx", "22.3 fc". lux: the light."""
    fc = readings.settings["fc"]
    value, unit = (exposure.footcandles(lux), "fc") if fc else (lux, "lx")
    return "%.1f %s" % (value, unit) if value < 100 else "%d %s" % (int(value + 0.5), unit)


def stop(readings, lux, parts=3):
    """The T-stop for a light, to a third or a tenth. lux: the light; parts: 3 or 10."""
    number = readings.stop(lux)
    return "T" + exposure.stop_name(number, parts) if number >= 0.9 else "under T1"


def green(duv):
    """Plus or minus green as Duv and, beside it, as the trade's fraction of correction: "+0.0061  ¼"."""
    name = white.green_fraction(duv)
    return short_green(duv) + ("" if name == "0" else "  " + _FRACTIONS[name[1:]])


def short_green(duv):
    """Plus or minus green as Duv: "+0.0061", "0"."""
    if abs(duv) < 0.00005:
        return "0"
    return ("+" if duv > 0 else "−") + "%.4f" % abs(duv)
