"""The tick's integer loops in plain Python: fades move on, and slots are made from them.

Called by the stage once a tick. blend_viper.py is the same in native code for chips that have it; a test holds the
two equal. Nothing here allocates on the chip: all values are small ints (below 2**30 but for one product, see
`_white`), all stores are into arrays made by patch.py.

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


def share(done, whole):
    """done / whole as 0..65536, rounded down. Both ms, up to 600,000."""
    done <<= 10
    return (done // whole << 6) + (done % whole << 6) // whole


def soft(tables, at, u):
    """The S curve at u, 0..65536 both."""
    if u >= 65536:
        return 65536
    i = at + (u >> 8)
    v = tables[i] + ((tables[i + 1] - tables[i]) * (u & 255) + 128 >> 8)
    return v + (v >> 15)


def white(ka, kb, u):
    """Share of the way from ka to kb in kelvin, when u is the share in mired. ka, kb: 1..32767."""
    top = ka * u
    low = (kb * (65536 - u) + top + 16384) >> 15
    t = top // low
    t = (t << 1) + ((top - t * low) << 1) // low
    return min(t, 65536)


def move(par, fx, tables):
    """Bring every fixture to par[NOW]. Returns 1 if one has reached a segment that must be planned, else 0."""
    pending = 0
    now, master, mode = par[NOW], par[MASTER], par[MODE]
    for o in range(0, par[N_FIXTURES] * STRIDE, STRIDE):
        length = fx[o + LENGTH]
        if length:
            done = now - fx[o + START]
            if done >= length:
                fx[o + U] = 65536
                fx[o + LENGTH] = 0
            elif done > 0:
                fx[o + U] = share(done, length)
            else:
                fx[o + U] = 0
        u = fx[o + U]
        t = soft(tables, par[S_CURVE], u) if fx[o + CURVE] else u
        a = fx[o + LEVEL_A]
        level = a + mul16(fx[o + LEVEL_B] - a, t)
        fx[o + LEVEL] = level
        if mode:
            level = 65536 if mode == 1 else 0
        elif not fx[o + FREE]:
            level = mul16(level, master)
        fx[o + SHARE] = level
        n = fx[o + SEGMENTS]
        if n > 1:
            k = u * n
            fx[o + T_LINE] = k & 65535
            k >>= 16
            if k == n:
                k = n - 1
                fx[o + T_LINE] = 65536
            fx[o + WANTED] = k
            if k != fx[o + SEGMENT]:
                pending = 1
        else:
            fx[o + T_LINE] = u
        fx[o + T_WHITE] = white(fx[o + KELVIN_A], fx[o + KELVIN_B], u) if u < 65536 else u
    return pending


def compose(par, fx, ch, tables, frame):
    """Write every channel's slots into frame (bytearray of 512). Returns 1 if a slot changed, else 0."""
    changed = 0
    for p in range(0, par[N_CHANNELS] * WIDTH, WIDTH):
        flags, o = ch[p + FLAGS], ch[p + OWNER]
        t = fx[o + T_WHITE] if flags & WHITE else fx[o + T_LINE]
        a = ch[p + A]
        v = a + mul16(ch[p + B] - a, t) - BIAS
        if flags & AROUND:
            if v < 0:
                v += 65535
            elif v >= 65535:
                v -= 65535
        elif v < 0:
            v = 0
        elif v > 65535:
            v = 65535
        if flags & SCALED:
            v = mul16(v, fx[o + SHARE])
        i = ch[p + TABLE]
        if i and v:  # as light.curves.apply
            v += v >> 15
            s = 12 if v >= 16384 else 10 if v >= 4096 else 8 if v >= 1024 else 6 if v >= 256 else 4
            i += (v >> s) + 6 * s - 24
            v = tables[i] + ((tables[i + 1] - tables[i]) * (v & (1 << s) - 1) >> s)
        i = ch[p + FINE]
        if i:
            if frame[i - 1] != v & 255:
                frame[i - 1] = v & 255
                changed = 1
            v >>= 8
        else:
            v = v * 255 + 32768 >> 16
        i = ch[p + COARSE]
        if frame[i] != v:
            frame[i] = v
            changed = 1
    return changed
