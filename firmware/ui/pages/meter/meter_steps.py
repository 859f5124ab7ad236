"""Steps of the knob over round figures. Used by the Meter pages."""


def mark(value, detents):
    """The whole number reached from a value by detents; the first goes only to the next mark in its way."""
    near = int(value + 0.5) if value >= 0 else -int(0.5 - value)
    if abs(value - near) < 0.02:
        return near + detents
    below = int(value) if value >= 0 else -int(-value) - 1
    return below + detents if detents > 0 else below + 1 + detents


def step(values, now, detents):
    """The value so many places on in a row of values, from the nearest to the present one."""
    near = min(range(len(values)), key=lambda n: abs(values[n] - now))
    return values[max(0, min(len(values) - 1, near + detents))]


def number(value, detents):
    """A value so many steps on, each at most 1 % of it, in round figures: 0.01 and up."""
    way = 1 if detents > 0 else -1
    for _ in range(abs(detents)):
        ten = 0.01
        while ten * 10 <= value * (1 + way * 0.0001):
            ten *= 10
        share = value * (1 + way * 0.0001) / ten
        step = ten * (0.01 if share < 2 else 0.02 if share < 5 else 0.05)
        value = max(0.01, (int(value / step + 0.5) + way) * step)
    return value
