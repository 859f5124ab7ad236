"""What turning the knob does to lamps: values move along the marks of the unit in use, within what the lamps can do.
Used by the Light page.
"""

from math import sqrt

from firmware.light import level as levels
from firmware.light import white
from firmware.show.fixture_light import EXTRAS, FULL, LIMITS, PARAMS, SCALE

_UNITS = ("1/10", "1/3", "1/2", "%")  # by settings["level"]
_STOPS = (0.1, 1 / 3, 0.5)
_FIRST = FULL // 64  # level of lamps that are turned up from out: six stops under full
_STEP = {"duv": 0.001, "sat": 0.01, "mix": 0.01}
_KELVIN = 50
_GREEN_2, _GREEN_0 = 0.00394, 0.0054  # of greenest
_MIRED = 2


def dialable(fixture):
    """What can be dialled on a lamp: its parameters, in the order in which pushes of the knob choose them, then its raw
    channels."""
    return [p for p in ("level", "cct", "duv", "sat", "hue", "mix") if fixture.personality.has(p)] \
        + fixture.personality.extras()


def value(stage, fixture, what):
    """A parameter's value in its unit, or a raw channel's 0..65535."""
    if what in PARAMS:
        return stage.value(fixture, what)
    return stage.light(fixture)[EXTRAS].get(what, 0)


def span(fixtures, what):
    """(lowest, highest) that any of the lamps can be dialled to."""
    if what not in PARAMS:
        return 0, 65535
    p = PARAMS.index(what)
    low, high = LIMITS[p][0] / SCALE[p], LIMITS[p][1] / SCALE[p]
    if what not in ("cct", "duv") or not fixtures:
        return low, high
    ends = []
    for f in fixtures:
        ranges = [sorted((c[3], c[4])) for c in f.personality.channels if c[0] == what]
        ends.append(ranges[0] if ranges else (low, high))
    return max(low, min([e[0] for e in ends])), min(high, max([e[1] for e in ends]))


def turn(stage, settings, fixtures, what, steps):
    """Dial lamps that all have `what` -> a message for the user, or "". Levels keep their ratios; of everything else
    all lamps get the same value."""
    if what == "level":
        return _level(stage, fixtures, steps, settings["level"])
    low, high = span(fixtures, what)
    now = value(stage, fixtures[0], what)
    new = _next(settings, what, now, steps)
    if what == "hue":
        new %= 360
    within = max(low, min(high, new))
    if what in ("cct", "duv"):
        within = _real(stage, fixtures, what, now, within)
    for f in fixtures:
        stage.dial(f, **{what: within})
    if what == "hue" and not any(stage.value(f, "sat") for f in fixtures):
        return "Saturation is 0: hue shows when it is up"
    return "" if within == new or within != now else "That is as far as %s goes" % fixtures[0].name


def _real(stage, fixtures, what, now, value):
    """A white that exists, on the way from now to a value: lamps with hue and saturation mix theirs, and no light is as
    green as some that can be named, at 2200 K not Duv +0.018. One that was set so before may only come nearer."""
    for f in fixtures:
        if f.personality.has("hue"):
            if what == "duv" and value > now:
                value = max(now, min(value, greenest(stage.value(f, "cct"))))
            elif what == "cct" and value < now:
                green = stage.value(f, "duv")
                if green > greenest(value):
                    value = min(now, max(value, 1000 * sqrt((green + _GREEN_0) / _GREEN_2)))
    return value


def greenest(cct):
    """The highest Duv of real light, where its white has cct K: fitted to the spectral locus (CIE 1931), within 0.0005
    below it from 1500 to 3000 K."""
    return max(0.0, _GREEN_2 * cct * cct / 1e6 - _GREEN_0)


def _level(stage, fixtures, steps, unit_index):
    unit = _UNITS[unit_index]
    top = max([stage.level_of(f) for f in fixtures])
    if top <= 0 and steps > 0:
        first = levels.dial(FULL // 100 if unit == "%" else _FIRST, steps - 1, unit)
        for f in fixtures:
            stage.dial_level(f, first)
        return ""
    if len(fixtures) == 1:
        stage.dial_level(fixtures[0], levels.dial(top, steps, unit))
        return "%s is full" % fixtures[0].name if top == FULL and steps > 0 else ""
    if unit != "%":
        by = steps * _STOPS[unit_index]
    else:
        new = levels.dial(top, steps, unit)
        by = levels.stops(new / top) if 0 < new != top else steps
    stage.shift(fixtures, "level", by)
    return stage.message


def _next(settings, what, now, steps):
    """The value so many steps from now, on a mark of its unit."""
    if what == "cct":
        if settings["white"]:
            return 1e6 / max(1, _mark(1e6 / now, _MIRED, steps))
        return _mark(now, _KELVIN, steps)
    if what == "duv" and settings["green"]:
        return _fraction(now, steps)
    if what == "hue":
        return _mark(now, 1, steps)
    if what in _STEP:
        return _mark(now, _STEP[what], steps)
    return (int(now / 257 + 0.5) + steps) * 257


def _mark(now, step, steps):
    """The mark so many steps from now. From between two marks, the first step goes to the next one."""
    at = now / step
    near = int(at + 0.5) if at >= 0 else -int(0.5 - at)
    if abs(at - near) > 0.1:  # Between marks. A white on a mark may be off by a little: it is kept in whole kelvin.
        near += (steps > 0) != (near > at) and (1 if steps > 0 else -1)
        steps -= 1 if steps > 0 else -1
    return (near + steps) * step


def _fraction(now, steps):
    """The Duv so many fractions of correction from now."""
    marks = [-d for _name, d in reversed(white.GREENS)] + [0.0] + [d for _name, d in white.GREENS]
    if steps > 0:
        ahead = [d for d in marks if d > now + 0.0005]
        return ahead[min(steps, len(ahead)) - 1] if ahead else now
    ahead = [d for d in marks if d < now - 0.0005]
    return ahead[max(steps, -len(ahead))] if ahead else now
