"""The loops of the line that must be quick: copy a frame, read the items that the program dmx_in pushed. This is the
plain twin of line_words_viper."""


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
