"""The loops that read a capture's code, in plain Python; code.py has the others and says what the arguments are.
read_viper.py is their native twin."""

from firmware.wire.capture_code import STEP, expected, follow, moving, resting, stride


def undelta(data, end, bits, lot, count, n, k):
    """Read n slots that do not follow, and go on. Returns 0 where they are not there before byte `end`."""
    at, left = _next(data, end, bits, -1, k), n
    for i in range(count):
        if i != at:
            follow(lot, i)
            continue
        if stride(lot, i):
            _get_moving(data, bits, lot, i)
        else:
            _get_resting(data, bits, lot, i)
        left -= 1
        at = _next(data, end, bits, i, k) if left else -1
        if bits[0] > end << 3:
            return 0
    return 0 if left else 1


def unruns(data, at, end, lot, count):
    """Read a whole frame: the place after it, or -1 where it is not whole before byte `end`."""
    i = 0
    while i < count:
        if at >= end:
            return -1
        c = data[at]
        n = c - 125 if c >= 128 else c + 1
        size = 2 if c >= 128 else n + 1
        if at + size > end or i + n > count:
            return -1
        for k in range(n):
            lot[i + k] = data[at + 1 + (0 if c >= 128 else k)]
        at += size
        i += n
    return at


def _get_moving(data, bits, lot, i):
    p = expected(lot, i) >> 8
    if _get(data, bits, 1):
        value = _get(data, bits, 8) if _get(data, bits, 1) else lot[i]
    else:
        value = p - 1 & 255 if _get(data, bits, 1) else p + 1 & 255
    moving(lot, i, value, value - p & 255)


def _get_resting(data, bits, lot, i):
    step = lot[STEP + i]
    if _get(data, bits, 1):
        if not _get(data, bits, 1):
            step = -step & 255
        elif _get(data, bits, 1):
            step = _get(data, bits, 8) - lot[i] & 255
        else:
            step += -1 if _get(data, bits, 1) else 1
    resting(lot, i, step & 255)


def _get(data, bits, n):
    """Read n bits; beyond the data they are 0."""
    value = 0
    for _ in range(n):
        at = bits[0] >> 3
        value = value << 1 | (data[at] >> 7 - (bits[0] & 7) & 1 if at < len(data) else 0)
        bits[0] += 1
    return value


def _next(data, end, bits, at, k):
    """The slot after `at` that does not follow."""
    gap = 0
    while bits[0] < end << 3 and not _get(data, bits, 1):
        gap += 1
    return at + 1 + (gap << k | _get(data, bits, k))
