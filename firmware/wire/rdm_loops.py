"""The loops over the bytes of RDM packets (ANSI E1.20) that must be quick. This is the plain twin of
rdm_loops_viper."""


def checksum(data, length):
    """The sum of the first `length` bytes, 16 bits of it."""
    return sum(data[:length]) & 0xFFFF


def difference(one, other, at, count):
    """How the first `count` bytes of `one` compare with those of `other` from `at` on: below 0, 0 or above."""
    for n in range(count):
        if one[n] != other[at + n]:
            return one[n] - other[at + n]
    return 0


def copy(to, at, source, start, count):
    """Copy count bytes of `source` from `start` on, to `to` from `at` on."""
    to[at : at + count] = source[start : start + count]
