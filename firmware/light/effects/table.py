"""Every kind of effect: its name, as the pages show it and shows save it, and its module. A new kind is one line."""

# In the order of the page: the ones that are wanted in a hurry first.
_KINDS = (
    ("Lightning", "firmware.light.effects.lightning"),
    ("Flame", "firmware.light.effects.flame"),
    ("Candle", "firmware.light.effects.candle"),
    ("Television", "firmware.light.effects.television"),
    ("Failing tube", "firmware.light.effects.failing_tube"),
    ("Passing cars", "firmware.light.effects.passing_cars"),
    ("Welding", "firmware.light.effects.welding"),
    ("Low sun", "firmware.light.effects.low_sun"),
    ("Pulse", "firmware.light.effects.pulse"),
    ("Colour walk", "firmware.light.effects.colour_walk"),
)
NAMES = tuple([name for name, _module in _KINDS])


def find(name):
    """The dotted name of a kind's module. Errors: KeyError: no such kind."""
    return dict(_KINDS)[name]
