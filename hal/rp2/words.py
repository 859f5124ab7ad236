"""The loops of the line that must be quick: copy a frame, read what `hears` pushed. Plain; words_viper is its twin."""


def copy(to, at, source, count):
    """Copy count bytes of source to `to` from `at` on."""
    for n in range(count):
        to[at + n] = source[n]


def slots(ring, start, end, to, at):
    """Well-formed slots from word `start` on, before word `end`: how many. Their values go to `to` from `at`
    on as far as it reaches; at < 0: to nowhere."""
    n = start
    most = end if at < 0 else min(end, start + len(to) - at)
    while n < most and _word(ring, n) >> 30 == 3:
        if at >= 0:
            to[at + n - start] = _word(ring, n) >> 22 & 255
        n += 1
    return n - start


def low(ring, at, depth, out):
    """The low stretch whose first word is at `at` in a ring of `depth` words. out, array of 5 "i": 0: turns
    of the loop while low, 1: in the mark after, 2: from the low stretch before to this one, 3: y at this
    one's start, 4: the word's ten bits."""
    began = _word(ring, (at + 1) % depth)
    rose = _word(ring, (at + 2) % depth)
    out[0] = _signed(began - rose)
    out[1] = _signed(rose - _word(ring, (at + 3) % depth))
    out[2] = _signed(out[3] - began)
    out[3] = _signed(began)
    out[4] = _word(ring, at) >> 22


def _word(ring, n):
    return int.from_bytes(ring[4 * n : 4 * n + 4], "little")


def _signed(value):
    return ((value + 0x80000000) & 0xFFFFFFFF) - 0x80000000
