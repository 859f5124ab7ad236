"""What a turn of the knob makes of a value: steps over round figures. Used by the pages of the meter."""


def next_mark(value, detents):
    """The whole number so many detents from a value. From between two numbers, the first detent goes to the next
    one."""
    near = int(value + 0.5) if value >= 0 else -int(0.5 - value)
    if abs(value - near) < 0.02:
        return near + detents
    below = int(value) if value >= 0 else -int(-value) - 1
    return below + detents if detents > 0 else below + 1 + detents


def next_choice(values, now, detents):
    """The choice so many places after the one that is nearest to the present value. values: the choices, in order."""
    near = min(range(len(values)), key=lambda n: abs(values[n] - now))
    return values[max(0, min(len(values) - 1, near + detents))]


def next_number(value, detents):
    """A value so many detents on. Each changes it by 0.5 to 1 %, to a round figure; the least is 0.01."""
    sign = 1 if detents > 0 else -1
    for _ in range(abs(detents)):
        decade = 0.01
        while decade * 10 <= value * (1 + sign * 0.0001):
            decade *= 10
        share = value * (1 + sign * 0.0001) / decade
        step = decade * (0.01 if share < 2 else 0.02 if share < 5 else 0.05)
        value = max(0.01, (int(value / step + 0.5) + sign) * step)
    return value
