"""The fields of the stage's arrays: what patch.py makes, fade.py sets, and the tick's loops (blend*.py) run over.

`par` (array 'i'): N_FIXTURES, NOW (ms), MASTER (0..65536), MODE (0 as dialled, 1 all at full, 2 black).
`fx` (array 'i', STRIDE a fixture) and `fh` (array 'H', HALF a fixture): the fields below, none negative.
`ch` (array 'i'): for each channel A, B and, where its fixture needs keyframes, NEXT.
`tables` (array 'H'): the S curve (257 entries), then one inverse dimming map (light.curves) a trimmed lamp and one
form (FORM a channel) a personality.
"""

from micropython import const

N_FIXTURES = const(0)
NOW = const(1)
MASTER = const(2)
MODE = const(3)

STRIDE = const(9)
LEVEL = const(0)  # level now, before the master
T_LINE = const(1)  # place in the segment, 0..65536
T_WHITE = const(2)  # the same, bent so that slots linear in kelvin move evenly in mired
LEVEL_A = const(3)
LEVEL_B = const(4)
U = const(5)  # place in the whole fade, 0..65536
START = const(6)  # ms
LENGTH = const(7)  # ms; 0: not moving by itself
SHARE = const(8)  # level after the master

HALF = const(24)
KELVIN_A = const(0)  # CCT at both ends, scaled so that the larger is 32767
KELVIN_B = const(1)
SEGMENTS = const(2)
SEGMENT = const(3)  # the segment that a and b of its channels belong to
WANTED = const(4)  # the segment that U has reached
CURVE = const(5)  # 0 linear, 1 S
FREE = const(6)  # 1: exempt from the master
ADDRESS = const(7)  # index of its first slot
FIRST = const(8)  # where its channels begin in ch
WIDTH = const(9)  # fields a channel: 2, with keyframes 3
CHANNELS = const(10)  # where its form begins in tables,
CHANNELS_END = const(11)  # and ends
TABLE = const(12)  # where its inverse dimming map begins in tables; 0: none
WAY = const(13)  # another number once it is dialled or sent elsewhere
LIGHT_A = const(14)  # its light at both ends but for the level: CCT, Duv + DUV_BIAS, hue, sat, mix
LIGHT_B = const(19)

A = const(0)  # value at the start of the segment, + BIAS
B = const(1)
NEXT = const(2)  # value at the end of the next segment, + BIAS; 0: not yet known

FORM = const(3)
COARSE = const(0)  # slot, counted from the fixture's first
FINE = const(1)  # the same + 1; 0: none
FLAGS = const(2)

SCALED = const(1)  # intensity: follows the level
WHITE = const(2)  # moves by T_WHITE
AROUND = const(4)  # hue: wraps

BIAS = const(1 << 20)
DUV_BIAS = const(1 << 15)
ONE = const(65536)


def mul16(a, b):
    """a * b / 65536, rounded, without an int above 2**30. a: -2**20..2**20, b: 0..65536."""
    return (a * (b >> 8) + (a * (b & 255) >> 8) + 128) >> 8
