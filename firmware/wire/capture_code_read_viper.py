"""The loops of read.py in native code, for chips that have an emitter. Imported by decoder.py if it can be.

The numbers are those of code.py (viper folds only constants of its own module); a test holds the two equal.
"""

# ruff: noqa: F821, C901  ptr8 and ptr16 are the viper compiler's; it has no calls that are cheap

import micropython
from micropython import const

_STEP = const(512)
_FRACTION = const(1024)
_AGE = const(1536)
_STRIDES = const(1024)  # STRIDE in units of two bytes
_OLDEST = const(5)
_LEAST = const(200)


@micropython.viper
def undelta(data: ptr8, end: int, bits: ptr32, lot: ptr8, count: int, n: int, k: int) -> int:
    """As read.undelta."""
    strides = ptr16(lot)
    b = bits[0]
    stop = end << 3
    at = -1
    i = 0
    need = 1  # the next gap is to be read
    while i < count:
        if need and n:
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
            need = 0
        was = int(lot[i])
        age = int(lot[_AGE + i])
        s = int(strides[_STRIDES + i])
        p = was
        fraction = 0
        if s:
            p = (was << 8 | int(lot[_FRACTION + i])) + s
            fraction = p & 255
            p = p >> 8 & 255
            if age < _OLDEST:
                age += 1
        if i != at or not n:
            lot[i] = p
            if s:
                lot[_FRACTION + i] = fraction
                lot[_AGE + i] = age
            else:
                lot[_AGE + i] = 0
            i += 1
            continue
        n -= 1
        need = 1
        # The code: up to three bits that say what follows, then a sign or a value.
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
                    step = p - 1 - was
                    s -= 256 >> age
                    fraction = 255
                else:
                    step = p + 1 - was
                    s += 256 >> age
                    fraction = 0
                if s > 0 - _LEAST and s < _LEAST:
                    s = 0
            else:
                s = 0
                literal = one
        else:
            last = int(lot[_STEP + i])
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
            step = value - was
        step &= 255
        if int(strides[_STRIDES + i]):
            if not s:
                age = 0
                if step:
                    age = 1
                fraction = 0
            lot[_FRACTION + i] = fraction
            lot[_AGE + i] = age
            strides[_STRIDES + i] = s
            if step:
                lot[_STEP + i] = step
        else:
            if age and step - int(lot[_STEP + i]) + 1 & 255 <= 2:
                strides[_STRIDES + i] = step << 8
                if step > 127:
                    strides[_STRIDES + i] = step - 256 << 8
                lot[_FRACTION + i] = 128
                lot[_AGE + i] = 0
            else:
                lot[_AGE + i] = 1
            lot[_STEP + i] = step
        lot[i] = was + step
        if b > stop:
            bits[0] = b
            return 0
        i += 1
    bits[0] = b
    if n:
        return 0
    return 1


@micropython.viper
def unruns(data: ptr8, at: int, end: int, lot: ptr8, count: int) -> int:
    """As read.unruns."""
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
                lot[i + j] = data[at + 1]
            else:
                lot[i + j] = data[at + 1 + j]
            j += 1
        at += size
        i += n
    return at
