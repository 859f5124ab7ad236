"""The loops of the capture's code in plain Python; capture.py says what they write. code_viper.py is their native
twin, read.py has those that only reading needs.

`lot` is what both sides know of the slots, a bytearray of LOT bytes: the value of each of 512 slots, then its last
step, fraction and age, then its stride (two bytes, low first, two's complement). `bits` (array 'i') of a writer: bytes
written, the bits that wait for a whole byte, how many; of a reader: [0] is the number of the next bit. Nothing here
allocates on the chip.
"""

from micropython import const

STEP, FRACTION, AGE, STRIDE = const(512), const(1024), const(1536), const(2048)
LOT = const(3072)
_OLDEST = const(5)  # age that is not passed: a stride is mended by 1/256 >> age
_LEAST = const(200)  # a stride below this many 1/256 a frame is taken for rest


def survey(new, count, lot):
    """Which slots do not follow: how many << 10 | the last of them << 1 | 1 where any slot is on the move."""
    n = last = busy = 0
    for i in range(count):
        if stride(lot, i) or lot[AGE + i]:
            busy = 1
        if expected(lot, i) >> 8 != new[i]:
            n += 1
            last = i
    return n << 10 | last << 1 | busy


def advance(lot, count):
    """All slots follow: they go on by their strides."""
    for i in range(count):
        follow(lot, i)


def delta(new, count, lot, out, bits, k, limit):
    """Write the slots that do not follow, and go on. Returns 0 where that comes to byte `limit`: lot is then spoilt."""
    gap = 0
    for i in range(count):
        if expected(lot, i) >> 8 == new[i]:
            follow(lot, i)
            gap += 1
            continue
        for _ in range(gap >> k):
            _put(out, bits, 0, 1)
        _put(out, bits, 1 << k | gap & (1 << k) - 1, k + 1)
        gap = 0
        if stride(lot, i):
            _put_moving(new[i], lot, i, out, bits)
        else:
            _put_resting(new[i], lot, i, out, bits)
        if bits[0] >= limit:
            return 0
    return 1


def runs(new, count, out, at):
    """Write a whole frame: c < 128: c + 1 values follow; else the value after it c - 125 times. -> the place after."""
    i = 0
    while i < count:
        same = _same(new, i, count)
        if same >= 3:
            out[at], out[at + 1] = same + 125, new[i]
            at += 2
            i += same
            continue
        head, at = at, at + 1
        while i < count and at - head <= 128 and _same(new, i, count) < 3:
            out[at] = new[i]
            at += 1
            i += 1
        out[head] = at - head - 2
    return at


def rest(lot, new, count):
    """Begin with a whole frame: slots beyond it are 0, none moves, and the first step of each is taken to be one up."""
    for i in range(512):
        lot[i] = new[i] if i < count else 0
        lot[STEP + i] = 1
        lot[FRACTION + i] = lot[AGE + i] = lot[STRIDE + 2 * i] = lot[STRIDE + 2 * i + 1] = 0


# --- one slot ---


def expected(lot, i):
    """Value << 8 | fraction that slot i has next if it follows."""
    return (lot[i] << 8 | lot[FRACTION + i]) + stride(lot, i) & 0xFFFF


def follow(lot, i):
    if stride(lot, i):
        x = expected(lot, i)
        lot[i], lot[FRACTION + i] = x >> 8, x & 255
        lot[AGE + i] = min(lot[AGE + i] + 1, _OLDEST)
    else:
        lot[AGE + i] = 0


def _put_moving(value, lot, i, out, bits):
    e = value - (expected(lot, i) >> 8) & 255
    if e == 1 or e == 255:
        _put(out, bits, e >> 7, 2)
    elif value == lot[i]:
        _put(out, bits, 2, 2)
    else:
        _put(out, bits, 3 << 8 | value, 10)
    moving(lot, i, value, e)


def moving(lot, i, value, e):
    """A slot on the move had another value, by e, than its stride led to."""
    s, step = 0, value - lot[i] & 255
    if e == 1 or e == 255:
        age = min(lot[AGE + i] + 1, _OLDEST)
        s = stride(lot, i) + (256 >> age if e == 1 else -(256 >> age))
        lot[FRACTION + i] = 0 if e == 1 else 255
        lot[AGE + i] = age
    if -_LEAST < s < _LEAST:
        s = 0
        lot[AGE + i] = 1 if step else 0
        lot[FRACTION + i] = 0
    if step:
        lot[STEP + i] = step
    lot[i] = value
    _set_stride(lot, i, s)


def _put_resting(value, lot, i, out, bits):
    step, last = value - lot[i] & 255, lot[STEP + i]
    if step == last:
        _put(out, bits, 0, 1)
    elif step == -last & 255:
        _put(out, bits, 2, 2)
    elif step - last & 255 == 1:
        _put(out, bits, 12, 4)
    elif last - step & 255 == 1:
        _put(out, bits, 13, 4)
    else:
        _put(out, bits, 7 << 8 | value, 11)
    resting(lot, i, step)


def resting(lot, i, step):
    """A slot at rest has made a step; the second like it in a row sets it on the move."""
    lot[i] = lot[i] + step & 255
    if lot[AGE + i] and step - lot[STEP + i] + 1 & 255 <= 2:
        _set_stride(lot, i, step - 256 << 8 if step > 127 else step << 8)
        lot[FRACTION + i], lot[AGE + i] = 128, 0
    else:
        lot[AGE + i] = 1
    lot[STEP + i] = step


def stride(lot, i):
    s = lot[STRIDE + 2 * i] | lot[STRIDE + 2 * i + 1] << 8
    return s - 65536 if s > 32767 else s


def _set_stride(lot, i, s):
    lot[STRIDE + 2 * i], lot[STRIDE + 2 * i + 1] = s & 255, s >> 8 & 255


def _same(new, i, count):
    """How often the value at i stands there in a row, up to 130."""
    n = 1
    while i + n < count and n < 130 and new[i + n] == new[i]:
        n += 1
    return n


# --- bits ---


def _put(out, bits, value, n):
    """Write n bits, up to 16, the highest first."""
    bits[1] = bits[1] << n | value
    bits[2] += n
    while bits[2] >= 8:
        bits[2] -= 8
        out[bits[0]] = bits[1] >> bits[2]
        bits[0] += 1
        bits[1] &= (1 << bits[2]) - 1
