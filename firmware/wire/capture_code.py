"""The loops that write a capture, in plain Python, and what they share with the loops that read one.

The format is described in CAPTURES.md beside this file. capture_code_viper.py is the native twin of this module, and
capture_code_read.py has the loops that only reading needs. capture_encoder.py and capture_decoder.py call them all.

`states` is what writer and reader know of every slot, a bytearray of capture_format.STATES_SIZE bytes: the values of
all slots, then their last steps, their fractions and their ages (one byte each), then their strides (two bytes each,
low byte first, two's complement). `bits` is an array 'i'. A writer's has the number of bytes written, the bits that do
not fill a byte yet, and how many those are; a reader's has only the number of the next bit. Nothing here allocates on
the chip.
"""

from micropython import const

from firmware.universe import SLOTS

STEP, FRACTION, AGE, STRIDE = SLOTS, 2 * SLOTS, 3 * SLOTS, 4 * SLOTS  # where each part of `states` begins
_MAX_AGE = const(5)  # ages stop here; a stride is corrected by 256 >> age
_MIN_STRIDE = const(200)  # a slot whose stride is below this, in 1/256 a frame, counts as still
_BYTES = const(0)  # fields of a writer's `bits`
_PENDING = const(1)
_PENDING_BITS = const(2)


def compare(new, count, states):
    """Find the slots of a frame that are not as predicted -> how many << 10 | index of the last << 1 | active.

    new: the frame; count: its slots, 1..512. active: 1 where `advance` would change the state of a slot.
    """
    n = last = active = 0
    for i in range(count):
        if stride(states, i) or states[AGE + i]:
            active = 1
        if predicted(states, i) >> 8 != new[i]:
            n += 1
            last = i
    return n << 10 | last << 1 | active


def advance(states, count):
    """Go on by a frame all of whose slots are as predicted."""
    for i in range(count):
        take_prediction(states, i)


def write_delta(new, count, states, out, bits, k, limit):
    """Write the slots of a frame that are not as predicted, and go on by that frame -> 1.

    k: parameter of the Rice code of the gaps, 0..7. Returns 0, and `states` is spoilt, where the bits reach byte
    `limit` of `out`.
    """
    gap = 0  # slots as predicted since the last that was not
    for i in range(count):
        if predicted(states, i) >> 8 == new[i]:
            take_prediction(states, i)
            gap += 1
            continue
        for _ in range(gap >> k):
            _put(out, bits, 0, 1)
        _put(out, bits, 1 << k | gap & (1 << k) - 1, k + 1)
        gap = 0
        if stride(states, i):
            _put_moving(new[i], states, i, out, bits)
        else:
            _put_still(new[i], states, i, out, bits)
        if bits[_BYTES] >= limit:
            return 0
    return 1


def write_runs(new, count, out, at):
    """Write a whole frame in run-length code from byte `at` of `out` on -> the index of the byte after it.

    A byte c below 128 comes before c + 1 values; another c before one value that stands c - 125 times.
    """
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


def reset(states, new, count):
    """Set all states after a whole frame: every slot is still and its last step is taken as +1; slots from `count` on
    have the value 0."""
    for i in range(SLOTS):
        states[i] = new[i] if i < count else 0
        states[STEP + i] = 1
        states[FRACTION + i] = states[AGE + i] = states[STRIDE + 2 * i] = states[STRIDE + 2 * i + 1] = 0


# --- one slot ---


def predicted(states, i):
    """The prediction for slot i: value << 8 | fraction."""
    return (states[i] << 8 | states[FRACTION + i]) + stride(states, i) & 0xFFFF


def take_prediction(states, i):
    """Go on by a frame in which slot i is as predicted."""
    if stride(states, i):
        x = predicted(states, i)
        states[i], states[FRACTION + i] = x >> 8, x & 255
        states[AGE + i] = min(states[AGE + i] + 1, _MAX_AGE)
    else:
        states[AGE + i] = 0


def _put_moving(value, states, i, out, bits):
    error = value - (predicted(states, i) >> 8) & 255
    if error == 1 or error == 255:
        _put(out, bits, error >> 7, 2)
    elif value == states[i]:
        _put(out, bits, 2, 2)
    else:
        _put(out, bits, 3 << 8 | value, 10)
    update_moving(states, i, value, error)


def update_moving(states, i, value, error):
    """Slot i, which was moving, has a value that differs from its prediction by `error` (modulo 256)."""
    s, step = 0, value - states[i] & 255
    if error == 1 or error == 255:
        age = min(states[AGE + i] + 1, _MAX_AGE)
        s = stride(states, i) + (256 >> age if error == 1 else -(256 >> age))
        states[FRACTION + i] = 0 if error == 1 else 255
        states[AGE + i] = age
    if -_MIN_STRIDE < s < _MIN_STRIDE:
        s = 0
        states[AGE + i] = 1 if step else 0
        states[FRACTION + i] = 0
    if step:
        states[STEP + i] = step
    states[i] = value
    _set_stride(states, i, s)


def _put_still(value, states, i, out, bits):
    step, last = value - states[i] & 255, states[STEP + i]
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
    update_still(states, i, step)


def update_still(states, i, step):
    """Slot i, which was still, has made a step (modulo 256). The second such step in a row makes it a moving slot."""
    states[i] = states[i] + step & 255
    if states[AGE + i] and step - states[STEP + i] + 1 & 255 <= 2:
        _set_stride(states, i, step - 256 << 8 if step > 127 else step << 8)
        states[FRACTION + i], states[AGE + i] = 128, 0
    else:
        states[AGE + i] = 1
    states[STEP + i] = step


def stride(states, i):
    """The stride of slot i, -32768..32767 in 1/256 a frame; 0: it is still."""
    s = states[STRIDE + 2 * i] | states[STRIDE + 2 * i + 1] << 8
    return s - 65536 if s > 32767 else s


def _set_stride(states, i, s):
    states[STRIDE + 2 * i], states[STRIDE + 2 * i + 1] = s & 255, s >> 8 & 255


def _same(new, i, count):
    """How many slots from i on have the same value, up to 130."""
    n = 1
    while i + n < count and n < 130 and new[i + n] == new[i]:
        n += 1
    return n


# --- bits ---


def _put(out, bits, value, n):
    """Write the n lowest bits of value, 16 at most, the highest first."""
    bits[_PENDING] = bits[_PENDING] << n | value
    bits[_PENDING_BITS] += n
    while bits[_PENDING_BITS] >= 8:
        bits[_PENDING_BITS] -= 8
        out[bits[_BYTES]] = bits[_PENDING] >> bits[_PENDING_BITS]
        bits[_BYTES] += 1
        bits[_PENDING] &= (1 << bits[_PENDING_BITS]) - 1
