"""The loops of capture_code_read.py in native code, for chips that have an emitter. capture_decoder.py imports it where
it can.

The numbers are those of capture_code.py, repeated because viper folds only constants of its own module;
tests/vm/capture_code_twins.py holds the two equal.
"""

# ruff: noqa: F821, C901  ptr8 and ptr16 are the viper compiler's; it has no calls that are cheap

import micropython
from micropython import const

_STEP = const(512)  # firmware/universe.py's SLOTS
_FRACTION = const(1024)
_AGE = const(1536)
_STRIDES = const(1024)  # capture_code.STRIDE, counted in units of two bytes
_MAX_AGE = const(5)
_MIN_STRIDE = const(200)


@micropython.viper
def read_delta(data: ptr8, end: int, bits: ptr32, states: ptr8, count: int, n: int, k: int) -> int:
    """As capture_code_read.read_delta."""
    strides = ptr16(states)
    b = bits[0]
    stop = end << 3
    at = -1
    i = 0
    read_gap = 1  # the next gap is to be read before slot i
    while i < count:
        if read_gap and n:
            gap = 0
            while b < stop and not int(data[b >> 3]) >> 7 - (b & 7) & 1:
                gap += 1
                b += 1
            b += 1
            q = k
            while q:
                gap <<= 1
                if b < stop:
                    gap |= int(data[b >> 3]) >> 7 - (b & 7) & 1
                b += 1
                q -= 1
            at += 1 + gap
            read_gap = 0
        old = int(states[i])
        age = int(states[_AGE + i])
        s = int(strides[_STRIDES + i])
        predicted = old
        fraction = 0
        if s:
            predicted = (old << 8 | int(states[_FRACTION + i])) + s
            fraction = predicted & 255
            predicted = predicted >> 8 & 255
            if age < _MAX_AGE:
                age += 1
        if i != at or not n:
            states[i] = predicted
            if s:
                states[_FRACTION + i] = fraction
                states[_AGE + i] = age
            else:
                states[_AGE + i] = 0
            i += 1
            continue
        n -= 1
        read_gap = 1
        # The slot's code: up to three bits that say which one it is, then a sign or a value.
        code = 0
        if b < stop:
            code = int(data[b >> 3]) >> 7 - (b & 7) & 1
        b += 1
        step = 0
        literal = 0
        if s:
            one = 0
            if b < stop:
                one = int(data[b >> 3]) >> 7 - (b & 7) & 1
            b += 1
            if s > 32767:
                s -= 65536
            if not code:
                if one:
                    step = predicted - 1 - old
                    s -= 256 >> age
                    fraction = 255
                else:
                    step = predicted + 1 - old
                    s += 256 >> age
                    fraction = 0
                if s > 0 - _MIN_STRIDE and s < _MIN_STRIDE:
                    s = 0
            else:
                s = 0
                literal = one
        else:
            last = int(states[_STEP + i])
            step = last
            if code:
                one = 0
                if b < stop:
                    one = int(data[b >> 3]) >> 7 - (b & 7) & 1
                b += 1
                if not one:
                    step = 0 - last
                else:
                    if b < stop:
                        literal = int(data[b >> 3]) >> 7 - (b & 7) & 1
                    b += 1
                    if not literal:
                        step = last + 1
                        if b < stop and int(data[b >> 3]) >> 7 - (b & 7) & 1:
                            step = last - 1
                        b += 1
        if literal:
            value = 0
            q = 8
            while q:
                value <<= 1
                if b < stop:
                    value |= int(data[b >> 3]) >> 7 - (b & 7) & 1
                b += 1
                q -= 1
            step = value - old
        step &= 255
        if int(strides[_STRIDES + i]):
            if not s:
                age = 0
                if step:
                    age = 1
                fraction = 0
            states[_FRACTION + i] = fraction
            states[_AGE + i] = age
            strides[_STRIDES + i] = s
            if step:
                states[_STEP + i] = step
        else:
            if age and step - int(states[_STEP + i]) + 1 & 255 <= 2:
                strides[_STRIDES + i] = step << 8
                if step > 127:
                    strides[_STRIDES + i] = step - 256 << 8
                states[_FRACTION + i] = 128
                states[_AGE + i] = 0
            else:
                states[_AGE + i] = 1
            states[_STEP + i] = step
        states[i] = old + step
        if b > stop:
            bits[0] = b
            return 0
        i += 1
    bits[0] = b
    if n:
        return 0
    return 1


@micropython.viper
def read_runs(data: ptr8, at: int, end: int, states: ptr8, count: int) -> int:
    """As capture_code_read.read_runs."""
    i = 0
    while i < count:
        if at >= end:
            return -1
        c = int(data[at])
        n = c + 1
        size = n + 1
        if c >= 128:
            n = c - 125
            size = 2
        if at + size > end or i + n > count:
            return -1
        j = 0
        while j < n:
            if c >= 128:
                states[i + j] = data[at + 1]
            else:
                states[i + j] = data[at + 1 + j]
            j += 1
        at += size
        i += n
    return at
