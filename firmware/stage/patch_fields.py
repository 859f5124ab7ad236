"""The fields of the stage's arrays: the rig that is patched, as patch_build.py lays it out, fade.py sets it, and the
tick's loops (tick_loops.py) run over it. A patch is an object with these arrays:

    common    array 'i'
              | N_FIXTURES | NOW ms | MASTER 0..65536 | MODE 0 as dialled, 1 all at full, 2 black, 3 solo |

    fades     array 'i', a row of FADE for each fixture: where its fade is
              | LEVEL | PLACE | WHITE_PLACE | LEVEL_FROM | LEVEL_TO | DONE | START | LENGTH | OUTPUT |

    setups    array 'H', a row of SETUP for each fixture: how it is patched, and the ends of its fade
              | KELVIN_FROM | KELVIN_TO | SEGMENTS | SEGMENT | LEADER | CURVE | EXEMPT | ADDRESS | CHANNELS_AT
              | CHANNEL_WIDTH | FORM_AT | FORM_END | CURVE_AT | CHANGES
              | LIGHT_FROM: CCT | Duv + DUV_BIAS | hue | sat | mix | LIGHT_TO: the same five |

    channels  array 'i', a row of CHANNEL_WIDTH for each channel of each fixture, from CHANNELS_AT on: slot values
              | FROM | TO | END |    or, where the fixture needs keyframes,    | FROM | TO | END | NEXT |    each + BIAS

    tables    array 'H'
              | the S curve, SOFT_SIZE | inverse dimming maps (light/curves.py) of CURVE_SIZE, at CURVE_AT
              | forms: a row of FORM for each channel of a personality, FORM_AT to FORM_END: COARSE | FINE | FLAGS |

A fade whose slots are not straight lines between two lights is cut into SEGMENTS; in each the slots go straight from
FROM to TO. A fixture that waits (SEGMENTS 0) stands in its colour until that has been worked out; its level moves.
"""

from micropython import const

N_FIXTURES = const(0)
NOW = const(1)
MASTER = const(2)
MODE = const(3)

FADE = const(9)
LEVEL = const(0)  # level now, before the master
PLACE = const(1)  # place in the segment, 0..65536
WHITE_PLACE = const(2)  # the same, bent so that slots linear in kelvin move evenly in mired
LEVEL_FROM = const(3)
LEVEL_TO = const(4)
DONE = const(5)  # place in the whole fade, 0..65536
START = const(6)  # ms
LENGTH = const(7)  # ms; 0: not moving by itself, or by hand
OUTPUT = const(8)  # level after the master

SETUP = const(24)
KELVIN_FROM = const(0)  # CCT at both ends, scaled so that the larger is 32767
KELVIN_TO = const(1)
SEGMENTS = const(2)  # 0: it waits for its colour to be worked out
SEGMENT = const(3)  # the segment that FROM and TO of its channels belong to
LEADER = const(4)  # place of the fixture whose slot values hold for this one too, mostly its own
CURVE = const(5)  # 0 linear, 1 S; + SLOWED and OWN * 0..16383, lag in shares of the slowest's: lags.py moves it
EXEMPT = const(6)  # 1: exempt from the master; + DARK: dark in a solo
ADDRESS = const(7)  # index of its first slot
CHANNELS_AT = const(8)  # where the rows of its channels begin
CHANNEL_WIDTH = const(9)  # fields in the row of a channel: 2, with keyframes 3
FORM_AT = const(10)  # where its form begins in tables,
FORM_END = const(11)  # and ends
CURVE_AT = const(12)  # where its inverse dimming map begins in tables; 0: none
DARK = const(2)
CHANGES = const(13)  # another number once it is dialled or sent to another light
LIGHT_FROM = const(14)  # its light at both ends but for the level: CCT, Duv + DUV_BIAS, hue, sat, mix
LIGHT_TO = const(19)

FROM = const(0)  # value at the start of the segment, + BIAS
TO = const(1)
END = const(2)  # value at the end of the fade, + BIAS; 0: not yet known
NEXT = const(3)  # value at the end of the next segment, + BIAS; 0: not yet known

FORM = const(3)
COARSE = const(0)  # slot, counted from the fixture's first
FINE = const(1)  # the same + 1; 0: none
FLAGS = const(2)

SCALED = const(1)  # intensity: follows the level
WHITE = const(2)  # moves by WHITE_PLACE
WRAPS = const(4)  # hue: wraps
SNAPS = const(8)  # never passes through values between

# What `move` says is to be worked out, the first before the last; a place in the rig is added.
NOTHING = const(0)
PLAIN_WAITS = const(5120)  # the colour of a fixture that waits and needs no keyframes,
WAITS = const(4096)  # or that does
LATE = const(3072)  # a segment that it has reached
AT_END = const(2048)  # the end of the fade
AHEAD = const(1024)  # the next segment

NEVER = const((1 << 30) - 1)  # above all times: START of a fade that does not begin yet: a cut, until it lands

SLOWED = const(2)
OWN = const(4)

BIAS = const(1 << 20)
DUV_BIAS = const(1 << 15)
ONE = const(65536)
SOFT_SIZE = const(257)
CURVE_SIZE = const(66)


def mul16(a, b):
    """a * b / 65536, rounded, without an int above 2**30. a: -2**20..2**20, b: 0..65536."""
    return (a * (b >> 8) + (a * (b & 255) >> 8) + 128) >> 8
