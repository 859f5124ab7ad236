"""The loops of code.py in native code, for chips that have an emitter. Imported by encoder.py and decoder.py if
it can be.

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
def survey(new: ptr8, count: int, lot: ptr8) -> int:
    """As code.survey."""
    strides = ptr16(lot)
    n = 0
    last = 0
    busy = 0
    i = 0
    while i < count:
        v = int(lot[i])
        s = int(strides[_STRIDES + i])
        if s:
            busy = 1
            v = ((v << 8 | int(lot[_FRACTION + i])) + s & 0xFFFF) >> 8
        elif int(lot[_AGE + i]):
            busy = 1
        if v != int(new[i]):
            n += 1
            last = i
        i += 1
    return n << 10 | last << 1 | busy


@micropython.viper
def advance(lot: ptr8, count: int):
    """As code.advance."""
    strides = ptr16(lot)
    i = 0
    while i < count:
        s = int(strides[_STRIDES + i])
        if s:
            x = (int(lot[i]) << 8 | int(lot[_FRACTION + i])) + s
            lot[i] = x >> 8
            lot[_FRACTION + i] = x
            if int(lot[_AGE + i]) < _OLDEST:
                lot[_AGE + i] = int(lot[_AGE + i]) + 1
        else:
            lot[_AGE + i] = 0
        i += 1


@micropython.viper
def delta(new: ptr8, count: int, lot: ptr8, out: ptr8, bits: ptr32, k: int, limit: int) -> int:
    """As code.delta."""
    strides = ptr16(lot)
    at = bits[0]
    wait = bits[1]
    waits = bits[2]
    gap = 0
    i = 0
    while i < count:
        was = int(lot[i])
        age = int(lot[_AGE + i])
        s = int(strides[_STRIDES + i])
        value = int(new[i])
        p = was
        fraction = 0
        if s:
            p = (was << 8 | int(lot[_FRACTION + i])) + s
            fraction = p & 255
            p = p >> 8 & 255
            if age < _OLDEST:
                age += 1
        if p == value:
            lot[i] = value
            if s:
                lot[_FRACTION + i] = fraction
                lot[_AGE + i] = age
            else:
                lot[_AGE + i] = 0
            gap += 1
            i += 1
            continue
        q = gap >> k
        while q:
            wait <<= 1
            waits += 1
            if waits == 8:
                out[at] = wait
                at += 1
                wait = 0
                waits = 0
            q -= 1
        code = 1 << k | gap & (1 << k) - 1
        size = k + 1
        gap = 0
        step = value - was & 255
        if s:
            e = value - p & 255
            if s > 32767:
                s -= 65536
            if e == 1 or e == 255:
                code = code << 2 | e >> 7
                size += 2
                if e == 1:
                    s += 256 >> age
                    fraction = 0
                else:
                    s -= 256 >> age
                    fraction = 255
                if s > 0 - _LEAST and s < _LEAST:
                    s = 0
            else:
                s = 0
                if step:
                    code = (code << 2 | 3) << 8 | value
                    size += 10
                else:
                    code = code << 2 | 2
                    size += 2
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
            last = int(lot[_STEP + i])
            if step == last:
                code <<= 1
                size += 1
            elif step == 0 - last & 255:
                code = code << 2 | 2
                size += 2
            elif step - last & 255 == 1:
                code = code << 4 | 12
                size += 4
            elif last - step & 255 == 1:
                code = code << 4 | 13
                size += 4
            else:
                code = (code << 3 | 7) << 8 | value
                size += 11
            if age and step - last + 1 & 255 <= 2:
                strides[_STRIDES + i] = step << 8
                if step > 127:
                    strides[_STRIDES + i] = step - 256 << 8
                lot[_FRACTION + i] = 128
                lot[_AGE + i] = 0
            else:
                lot[_AGE + i] = 1
            lot[_STEP + i] = step
        lot[i] = value
        wait = wait << size | code
        waits += size
        while waits >= 8:
            waits -= 8
            out[at] = wait >> waits
            at += 1
        wait &= (1 << waits) - 1
        if at >= limit:
            bits[0] = at
            return 0
        i += 1
    bits[0] = at
    bits[1] = wait
    bits[2] = waits
    return 1


@micropython.viper
def runs(new: ptr8, count: int, out: ptr8, at: int) -> int:
    """As code.runs."""
    i = 0
    head = -1
    while i < count:
        same = 1
        value = int(new[i])
        while i + same < count and same < 130 and int(new[i + same]) == value:
            same += 1
        if same >= 3:
            out[at] = same + 125
            out[at + 1] = value
            at += 2
            i += same
            head = -1
            continue
        if head < 0 or at - head > 128:
            head = at
            at += 1
        out[at] = value
        at += 1
        i += 1
        out[head] = at - head - 2
    return at


@micropython.viper
def rest(lot: ptr8, new: ptr8, count: int):
    """As code.rest."""
    strides = ptr16(lot)
    i = 0
    while i < 512:
        value = 0
        if i < count:
            value = int(new[i])
        lot[i] = value
        lot[_STEP + i] = 1
        lot[_FRACTION + i] = 0
        lot[_AGE + i] = 0
        strides[_STRIDES + i] = 0
        i += 1
