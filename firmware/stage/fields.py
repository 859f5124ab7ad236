"""The fields of the stage's arrays: what patch.py makes, fade.py sets, and the tick's loops (blend*.py) run over.

`par` (array 'i'): N_FIXTURES, N_CHANNELS, NOW (ms), MASTER (0..65536), MODE (0 as dialled, 1 all at full, 2 black),
S_CURVE (where in `tables` the S curve begins).
`fx` (array 'i', STRIDE a fixture) and `ch` (array 'i', WIDTH a channel): the fields below, none negative.
`tables` (array 'H'): the S curve (257 entries), then one inverse dimming map (light.curves) a trimmed lamp.
"""

from micropython import const

N_FIXTURES = const(0)
N_CHANNELS = const(1)
NOW = const(2)
MASTER = const(3)
MODE = const(4)
S_CURVE = const(5)

STRIDE = const(16)
LEVEL = const(0)  # level now, before the master
T_LINE = const(1)  # place in the segment, 0..65536
T_WHITE = const(2)  # the same, bent so that slots linear in kelvin move evenly in mired
LEVEL_A = const(3)
LEVEL_B = const(4)
U = const(5)  # place in the whole fade, 0..65536
START = const(6)  # ms
LENGTH = const(7)  # ms; 0: not moving by itself
CURVE = const(8)  # 0 linear, 1 S
KELVIN_A = const(9)  # CCT at both ends, scaled so that the larger is 32767
KELVIN_B = const(10)
SEGMENTS = const(11)
SEGMENT = const(12)  # the segment that a and b of its channels belong to
WANTED = const(13)  # the segment that U has reached
FREE = const(14)  # 1: exempt from the master
SHARE = const(15)  # level after the master

WIDTH = const(8)
A = const(0)  # value at the start of the segment, + BIAS
B = const(1)
COARSE = const(2)  # slot index
FINE = const(3)  # slot index + 1; 0: none
OWNER = const(4)  # where the fixture begins in fx
FLAGS = const(5)
TABLE = const(6)  # where its inverse dimming map begins in `tables`; 0: none
NEXT = const(7)  # value at the end of the next segment, + BIAS; 0: not yet known

SCALED = const(1)  # intensity: follows the level
WHITE = const(2)  # moves by T_WHITE
AROUND = const(4)  # hue: wraps

BIAS = const(1 << 20)
ONE = const(65536)


def mul16(a, b):
    """a * b / 65536, rounded, without an int above 2**30. a: -2**20..2**20, b: 0..65536."""
    return (a * (b >> 8) + (a * (b & 255) >> 8) + 128) >> 8
