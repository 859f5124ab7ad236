"""Makes the blocks of a capture from frames. The format is described in CAPTURES.md beside this file. Pure. Used by
stage/capture_recorder.py."""

import struct
from array import array
from binascii import crc32

from micropython import const

from firmware.universe import SLOTS
from firmware.wire.capture_format import (
    CRC,
    DELTA,
    END,
    HEAD,
    HEAD_SIZE,
    LONGEST,
    MAGIC,
    STATES_SIZE,
    TICKS,
    TIME,
    VERSION,
    WHOLE,
)

try:
    from firmware.wire.capture_code_viper import advance, compare, reset, write_delta, write_runs
except (ImportError, SyntaxError, NameError):  # a port without native code; CPython knows no ptr8
    from firmware.wire.capture_code import advance, compare, reset, write_delta, write_runs

# The most bytes of a record without its slots: number of frames (23 bits), kind 2, number of slots 19, k 3; a time
# record before it (23, 2, 63, 16 bits); and the end record (23, 2).
_RECORD_BYTES = const(26)
_TOLERANCE = const(192)  # ticks (6 ms) that a frame may be off its even time before that is written
_SLOWEST = 1250 * TICKS  # ANSI E1.11: longer gaps are no period
_FEW = const(48)  # where more slots than these are not as predicted, a whole frame may be shorter
# Fields of `bits`:
_BYTES = const(0)  # bytes written
_PENDING = const(1)  # the bits that do not fill a byte yet
_PENDING_BITS = const(2)  # how many those are


class Encoder:
    """Frames in, blocks out. `block`: the bytes of the block that is being filled; `frames`: how many are in it;
    `first`: when its first frame came, ms since the capture began; `period`: ticks from frame to frame, as learned."""

    def __init__(self):
        self._states = bytearray(STATES_SIZE)
        try:
            self.block = bytearray(LONGEST)
        except MemoryError:  # in a heap in pieces: shorter blocks cost a few per cent of flash
            self.block = bytearray(LONGEST // 2)
        self.frames = 0
        self.first = 0
        self.period = 22 * TICKS + 23  # ticks from frame to frame; a full packet takes 22.7 ms
        self._bits = array("i", (HEAD_SIZE, 0, 0))
        self._count = 0  # slots of the last frame
        self._repeats = 0  # frames since the last record all of whose slots were as predicted
        self._due = 0  # ticks from the first frame to when the next is expected
        self._start_period = 0
        self._anchor = self._since = 0  # the period is measured from this tick on, over so many frames

    def add(self, slots, early, late, size):
        """Add a frame -> True, or False where it does not fit: then `close` the block and add it again.

        slots: bytes-like, 1..512; early, late: ms since the capture began between which it came; size: bytes that the
        block may grow to, 1100 at least.
        """
        count = len(slots)
        deviations = compare(slots, count, self._states) if self.frames and count == self._count else -1
        if self._bits[_BYTES] + _most_bytes(deviations, count) + _RECORD_BYTES + CRC > min(size, len(self.block)):
            return False
        if not self.frames:
            self._open(early, late)
            self._write_whole(slots, count)
        else:
            self._time(early * TICKS, late * TICKS)
            if deviations < 0:
                self._write_whole(slots, count)
            elif deviations >> 10:
                self._write_delta(slots, count, deviations)
            else:
                if deviations & 1:
                    advance(self._states, count)
                self._repeats += 1
        self.frames += 1
        self._since += 1
        self._due += self.period
        return True

    def close(self, size=0):
        """End the block and begin another -> the length of the block that ended, in bytes. It is block[:length], valid
        until the next `add`. size: the least length."""
        self._record(END)
        bits, out = self._bits, self.block
        if bits[_PENDING_BITS]:
            self._put(0, 8 - bits[_PENDING_BITS])
        length = max(size, bits[_BYTES] + CRC)
        for i in range(bits[_BYTES], length):
            out[i] = 0
        lasts_ms = (self._due + TICKS // 2) // TICKS
        struct.pack_into(HEAD, out, 0, MAGIC, VERSION, 0, length, self.frames, self.first, lasts_ms, self._start_period)
        struct.pack_into("<I", out, length - CRC, crc32(memoryview(out)[:length - CRC]))
        self.frames = 0
        bits[_BYTES], bits[_PENDING], bits[_PENDING_BITS] = HEAD_SIZE, 0, 0
        return length

    def filled(self):
        """Bytes of the block if it were closed now, or one or two fewer; 0 where it has no frame."""
        return self._bits[_BYTES] + CRC if self.frames else 0

    def age(self, now):
        """ms from the block's first frame to now; 0 where it has none."""
        return now - self.first if self.frames else 0

    def _open(self, early, late):
        """Begin a block. Its first frame is taken to have come when the block before expected it, as far as early and
        late allow."""
        due = self.first + self._due // TICKS
        self.first = max(early, min(late, due))
        self._repeats = self._due = 0
        self._start_period = self.period
        self._anchor = self._since = 0

    def _time(self, early, late):
        """Write when this frame came if that is far from the even time, and learn the period."""
        first = self.first * TICKS
        early, late = early - first, late - first
        due = self._due
        arrival = max(early, min(late, due))
        off = arrival - due
        if -_TOLERANCE <= off <= _TOLERANCE:
            return
        before = due - self.period
        arrival = max(arrival, before)  # frames that came together are taken to be a period apart
        gap = arrival - before
        if abs(off) * 2 < self.period and self._since:
            self.period = (arrival - self._anchor) // self._since
        else:  # another rate, or a pause
            if gap <= _SLOWEST:
                self.period = max(1, gap)
            self._anchor, self._since = arrival, 0
        self._record(TIME)
        self._gamma(gap)
        self._put(self.period, 16)
        self._due = arrival

    def _write_whole(self, slots, count):
        self._record(WHOLE)
        self._put(count - 1, 9)
        bits = self._bits
        if bits[_PENDING_BITS]:
            self._put(0, 8 - bits[_PENDING_BITS])
        bits[_BYTES] = write_runs(slots, count, self.block, bits[_BYTES])
        reset(self._states, slots, count)
        self._count = count

    def _write_delta(self, slots, count, deviations):
        n, last = deviations >> 10, deviations >> 1 & SLOTS - 1
        bits = self._bits
        at, pending, pending_bits, repeats = bits[_BYTES], bits[_PENDING], bits[_PENDING_BITS], self._repeats
        limit = at + _most_bytes(-1, count)
        if n > _FEW:  # the runs are written where they would lie to learn their length, and again if they are shorter
            limit = min(limit, write_runs(slots, count, self.block, at + _RECORD_BYTES) - _RECORD_BYTES + 2)
        self._record(DELTA)
        self._gamma(n - 1)
        k, gaps = 0, last + 1 - n
        while k < 7 and (n << k) * 3 < gaps * 2:
            k += 1
        self._put(k, 3)
        if not write_delta(slots, count, self._states, self.block, bits, k, limit):
            bits[_BYTES], bits[_PENDING], bits[_PENDING_BITS], self._repeats = at, pending, pending_bits, repeats
            self._write_whole(slots, count)

    def _record(self, kind):
        self._gamma(self._repeats)
        self._put(kind, 2)
        self._repeats = 0

    def _gamma(self, n):
        """Write n, 0 and up, in Elias's gamma code: n + 1 in binary, after as many bits 0 as it has digits less one."""
        n += 1
        size = 0
        while n >> size > 1:
            size += 1
        self._put(0, size)
        self._put(n, size + 1)

    def _put(self, value, n):
        bits, out = self._bits, self.block
        while n > 14:
            n -= 14
            self._put(value >> n, 14)
            value &= (1 << n) - 1
        pending, pending_bits = bits[_PENDING] << n | value, bits[_PENDING_BITS] + n
        while pending_bits >= 8:
            pending_bits -= 8
            out[bits[_BYTES]] = pending >> pending_bits & 255
            bits[_BYTES] += 1
        bits[_PENDING], bits[_PENDING_BITS] = pending & (1 << pending_bits) - 1, pending_bits


def _most_bytes(deviations, count):
    """The most bytes that a frame takes. deviations: what compare found, or -1 for a whole frame; count: its slots."""
    whole = count + (count >> 7) + 2
    if deviations < 0:
        return whole
    n = deviations >> 10
    # The code of a slot takes 11 bits at most, the gap to the next one 9, and less the more slots there are.
    return min(whole, n * 20 >> 3) if n <= _FEW else whole
