"""The highest of two sources, slot by slot, in plain Python. e131_merge_viper.py has the same in machine code; a test
holds the two equal."""


def highest(into, other, count):
    """Where the other's value is higher, put it into `into`. Both: bytearrays of at least `count` slots."""
    for n in range(count):
        if other[n] > into[n]:
            into[n] = other[n]
