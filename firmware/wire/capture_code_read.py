"""The loops that only reading a capture needs, in plain Python. The others are in capture_code.py, which says what the
arguments are; capture_code_read_viper.py is the native twin."""

from firmware.wire.capture_code import STEP, predicted, stride, take_prediction, update_moving, update_still


def read_delta(data, end, bits, states, count, n, k):
    """Read the n slots of a frame that are not as predicted, and go on by that frame -> 1.

    count: slots of the frame; k: parameter of the Rice code of the gaps. Returns 0 where the bits end, at byte `end` of
    `data`, before n slots are read.
    """
    at, left = _next(data, end, bits, -1, k), n
    for i in range(count):
        if i != at:
            take_prediction(states, i)
            continue
        if stride(states, i):
            _get_moving(data, bits, states, i)
        else:
            _get_still(data, bits, states, i)
        left -= 1
        at = _next(data, end, bits, i, k) if left else -1
        if bits[0] > end << 3:
            return 0
    return 0 if left else 1


def read_runs(data, at, end, states, count):
    """Read a whole frame in run-length code from byte `at` of `data` on -> the index of the byte after it, or -1 where
    it is not complete before byte `end`."""
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
            states[i + k] = data[at + 1 + (0 if c >= 128 else k)]
        at += size
        i += n
    return at


def _get_moving(data, bits, states, i):
    p = predicted(states, i) >> 8
    if _get(data, bits, 1):
        value = _get(data, bits, 8) if _get(data, bits, 1) else states[i]
    else:
        value = p - 1 & 255 if _get(data, bits, 1) else p + 1 & 255
    update_moving(states, i, value, value - p & 255)


def _get_still(data, bits, states, i):
    step = states[STEP + i]
    if _get(data, bits, 1):
        if not _get(data, bits, 1):
            step = -step & 255
        elif _get(data, bits, 1):
            step = _get(data, bits, 8) - states[i] & 255
        else:
            step += -1 if _get(data, bits, 1) else 1
    update_still(states, i, step & 255)


def _get(data, bits, n):
    """Read n bits, the highest first. Beyond the data they are 0."""
    value = 0
    for _ in range(n):
        at = bits[0] >> 3
        value = value << 1 | (data[at] >> 7 - (bits[0] & 7) & 1 if at < len(data) else 0)
        bits[0] += 1
    return value


def _next(data, end, bits, at, k):
    """Read a gap -> the index of the next slot after `at` that is not as predicted."""
    gap = 0
    while bits[0] < end << 3 and not _get(data, bits, 1):
        gap += 1
    return at + 1 + (gap << k | _get(data, bits, k))
