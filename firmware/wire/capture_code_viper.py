"""The loops of capture_code.py in native code, for chips that have an emitter. capture_encoder.py and
capture_decoder.py import it where they can.

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
def compare(new: ptr8, count: int, states: ptr8) -> int:
    """As capture_code.compare."""
    strides = ptr16(states)
    n = 0
    last = 0
    active = 0
    i = 0
    while i < count:
        v = int(states[i])
        s = int(strides[_STRIDES + i])
        if s:
            active = 1
            v = ((v << 8 | int(states[_FRACTION + i])) + s & 0xFFFF) >> 8
        elif int(states[_AGE + i]):
            active = 1
        if v != int(new[i]):
            n += 1
            last = i
        i += 1
    return n << 10 | last << 1 | active


@micropython.viper
def advance(states: ptr8, count: int):
    """As capture_code.advance."""
    strides = ptr16(states)
    i = 0
    while i < count:
        s = int(strides[_STRIDES + i])
        if s:
            x = (int(states[i]) << 8 | int(states[_FRACTION + i])) + s
            states[i] = x >> 8
            states[_FRACTION + i] = x
            if int(states[_AGE + i]) < _MAX_AGE:
                states[_AGE + i] = int(states[_AGE + i]) + 1
        else:
            states[_AGE + i] = 0
        i += 1


@micropython.viper
def write_delta(new: ptr8, count: int, states: ptr8, out: ptr8, bits: ptr32, k: int, limit: int) -> int:
    """As capture_code.write_delta."""
    strides = ptr16(states)
    at = bits[0]
    pending = bits[1]
    pending_bits = bits[2]
    gap = 0  # slots as predicted since the last that was not
    i = 0
    while i < count:
        old = int(states[i])
        age = int(states[_AGE + i])
        s = int(strides[_STRIDES + i])
        value = int(new[i])
        predicted = old
        fraction = 0
        if s:
            predicted = (old << 8 | int(states[_FRACTION + i])) + s
            fraction = predicted & 255
            predicted = predicted >> 8 & 255
            if age < _MAX_AGE:
                age += 1
        if predicted == value:
            states[i] = value
            if s:
                states[_FRACTION + i] = fraction
                states[_AGE + i] = age
            else:
                states[_AGE + i] = 0
            gap += 1
            i += 1
            continue
        zeros = gap >> k
        while zeros:
            pending <<= 1
            pending_bits += 1
            if pending_bits == 8:
                out[at] = pending
                at += 1
                pending = 0
                pending_bits = 0
            zeros -= 1
        code = 1 << k | gap & (1 << k) - 1
        size = k + 1
        gap = 0
        step = value - old & 255
        if s:
            error = value - predicted & 255
            if s > 32767:
                s -= 65536
            if error == 1 or error == 255:
                code = code << 2 | error >> 7
                size += 2
                if error == 1:
                    s += 256 >> age
                    fraction = 0
                else:
                    s -= 256 >> age
                    fraction = 255
                if s > 0 - _MIN_STRIDE and s < _MIN_STRIDE:
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
            states[_FRACTION + i] = fraction
            states[_AGE + i] = age
            strides[_STRIDES + i] = s
            if step:
                states[_STEP + i] = step
        else:
            last = int(states[_STEP + i])
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
                states[_FRACTION + i] = 128
                states[_AGE + i] = 0
            else:
                states[_AGE + i] = 1
            states[_STEP + i] = step
        states[i] = value
        pending = pending << size | code
        pending_bits += size
        while pending_bits >= 8:
            pending_bits -= 8
            out[at] = pending >> pending_bits
            at += 1
        pending &= (1 << pending_bits) - 1
        if at >= limit:
            bits[0] = at
            return 0
        i += 1
    bits[0] = at
    bits[1] = pending
    bits[2] = pending_bits
    return 1


@micropython.viper
def write_runs(new: ptr8, count: int, out: ptr8, at: int) -> int:
    """As capture_code.write_runs."""
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
def reset(states: ptr8, new: ptr8, count: int):
    """As capture_code.reset."""
    strides = ptr16(states)
    i = 0
    while i < _STEP:  # as many as there are slots
        value = 0
        if i < count:
            value = int(new[i])
        states[i] = value
        states[_STEP + i] = 1
        states[_FRACTION + i] = 0
        states[_AGE + i] = 0
        strides[_STRIDES + i] = 0
        i += 1
