"""The loops of the line and the knob that must be quick: copy a frame, read the items that the programs dmx_in and
encoder pushed. This is the plain twin of line_words_viper."""


def copy(to, at, source, count):
    """Copy count bytes of source to `to` from `at` on."""
    for n in range(count):
        to[at + n] = source[n]


def slots(ring, start, end, to, at):
    """Well-formed slots from item `start` on, before item `end`: how many. Their values go to `to` from `at`
    on as far as it reaches; at < 0: to nowhere."""
    n = start
    most = end if at < 0 else min(end, start + len(to) - at)
    while n < most and ring[2 * n + 1] == 255:
        if at >= 0:
            to[at + n - start] = ring[2 * n]
        n += 1
    return n - start


def detents(ring, first, count, depth, state, steps, per):
    """Detents in `count` bytes of a ring of `depth` bytes, from `first` on; each is four samples of two contacts, the
    oldest in the high bits. state: two bytes, the contacts' last sample, 4 before the first, and the quarter steps
    since the last rest + 128; steps: quarter steps + 1 from one sample to the next, at old * 4 + new; per: quarter
    steps to a detent, 4 or 2."""
    old, quarters, found = state[0], state[1] - 128, 0
    for n in range(first, first + count):
        samples = ring[n % depth]
        if old > 3:
            old = samples >> 6
        if samples == old * 85:  # four equal ones
            continue
        for shift in (6, 4, 2, 0):
            new = samples >> shift & 3
            quarters += steps[old * 4 + new] - 1
            old = new
            if new == 3 or (new == 0 and per == 2):  # at rest; a quarter step too few or too many is no matter
                whole = (abs(quarters) + per // 2) // per
                found += whole if quarters >= 0 else -whole
                quarters = 0
    state[0], state[1] = old, quarters + 128
    return found
