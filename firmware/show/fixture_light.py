"""The light of one fixture: what it should do. One shape in memory, in the looks and in the stage's state.

A light is a list of seven: LEVEL, CCT, DUV, HUE, SAT, MIX as whole numbers (units: SCALE), and EXTRAS, the values of
its raw channels by name (0..65535). In a binary record it is SIX and, where the record keeps them, pairs of a raw
channel's place and value.
"""

import struct

PARAMS = ("level", "cct", "duv", "hue", "sat", "mix")
LEVEL, CCT, DUV, HUE, SAT, MIX, EXTRAS = range(7)
# One unit of each: level 1/65536 of full, K, Duv 1/100000, 1/100 degree, 1/10000.
SCALE = (65536, 1, 100000, 100, 10000, 10000)
LIMITS = ((0, 65536), (1000, 20000), (-5000, 5000), (0, 35999), (0, 10000), (0, 10000))
FULL = 65536  # of LEVEL
_SIX = "<IHhHHH"
SIX_SIZE = struct.calcsize(_SIX)


def unlit():
    """What a fixture that has just been patched is asked for: out, white."""
    return [0, 4300, 0, 0, 0, 0, {}]


def pack_six(light):
    """All but the raw channels, as bytes."""
    return struct.pack(_SIX, *light[:EXTRAS])


def unpack_six(data, at):
    """The light whose bytes begin at `at`, without raw channels. What is outside its limits goes to the nearer one."""
    six = struct.unpack_from(_SIX, data, at)
    return [max(low, min(high, value)) for value, (low, high) in zip(six, LIMITS)] + [{}]


def to_pairs(light, names):
    """[(place, value)] of the raw channels of a light. names: those of the personality, in order."""
    return [(names.index(name), value) for name, value in light[EXTRAS].items() if name in names]


def from_pairs(pairs, names):
    """The raw channels by name; those of channels that are gone are left out."""
    return {names[place]: value for place, value in pairs if place < len(names)}


def pack(out, light, names):
    """Append a light with its raw channels to a bytearray. names: the raw channels of its personality."""
    out.extend(pack_six(light))
    pairs = to_pairs(light, names)
    out.extend(struct.pack("<H", len(pairs)))
    for pair in pairs:
        out.extend(struct.pack("<HH", *pair))


def unpack(data, at):
    """(light, byte after it) of the light that begins at a byte; its EXTRAS are pairs of place and value."""
    light = unpack_six(data, at)
    at += SIX_SIZE
    (count,) = struct.unpack_from("<H", data, at)
    light[EXTRAS] = [struct.unpack_from("<HH", data, at + 2 + 4 * n) for n in range(count)]
    return light, at + 2 + 4 * count
