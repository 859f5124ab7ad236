"""Every kind of effect, by its name as the pages show it and shows save it. A new kind is one line here; its module is
called after the name: that of "Failing tube" is failing_tube."""

# In the order of the page: the ones that are wanted in a hurry first.
NAMES = (
    "Lightning",
    "Flame",
    "Candle",
    "Television",
    "Failing tube",
    "Passing cars",
    "Welding",
    "Low sun",
    "Pulse",
    "Colour walk",
)


def find(name):
    """The dotted name of a kind's module. Errors: KeyError: no such kind."""
    if name not in NAMES:
        raise KeyError(name)
    return "firmware.light.effects." + name.lower().replace(" ", "_")
