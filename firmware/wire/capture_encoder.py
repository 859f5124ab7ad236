"""Frames in, blocks of a capture out (capture.py). Pure. Used by stage/capture_recorder.py."""

import struct
from array import array
from binascii import crc32

from micropython import const

from firmware.wire.capture_format import (
    CRC,
    DELTA,
    END,
    HEAD,
    HEAD_SIZE,
    LONGEST,
    LOT,
    MAGIC,
    TICKS,
    TIME,
    VERSION,
    WHOLE,
)

try:
    from firmware.wire.capture_code_viper import advance, delta, rest, runs, survey
except (ImportError, SyntaxError, NameError):  # a port without native code; CPython knows no ptr8
    from firmware.wire.capture_code import advance, delta, rest, runs, survey

# A record before the slots themselves: count of frames (23 bits), kind 2, count of slots 19, k 3; a time before it (23,
# 2, 63, 16 bits); and the end (23, 2).
_ROOM = const(26)
_SLACK = const(192)  # so many ticks (6 ms) may a frame be off its even time before that is written
_SLOWEST = 1250 * TICKS  # ANSI E1.11: longer gaps are no period
_FEW = const(48)  # more slots than these that do not follow: a whole frame may be shorter


class Encoder:
    """Frames in, blocks out. `block`: the buffer; `frames`: in it; `first`: ms of its first frame."""

    def __init__(self):
        self.block = bytearray(LONGEST)
        self.frames = 0
        self.first = 0
        self.period = 22 * TICKS + 23  # ticks from frame to frame; 512 slots take 22.7 ms
        self._lot = bytearray(LOT)
        self._bits = array("i", (HEAD_SIZE, 0, 0))
        self._count = 0  # slots of the last frame
        self._same = 0  # frames that followed since the last record
        self._due = 0  # ticks from the first frame to when the next is expected
        self._start_period = 0
        self._anchor = self._since = 0  # the period is measured from here: ticks, frames

    def add(self, slots, early, late, size):
        """Take a frame. slots: 1..512; early, late: ms between which it came; size: bytes that the block may grow to,
        1100 at least. False where it has no room: close() it, then add again."""
        count = len(slots)
        found = survey(slots, count, self._lot) if self.frames and count == self._count else -1
        if self._bits[0] + _need(found, count) + _ROOM + CRC > size:
            return False
        if not self.frames:
            self._open(early, late)
            self._write_whole(slots, count)
        else:
            self._time(early * TICKS, late * TICKS)
            if found < 0:
                self._write_whole(slots, count)
            elif found >> 10:
                self._write_delta(slots, count, found)
            else:
                if found & 1:
                    advance(self._lot, count)
                self._same += 1
        self.frames += 1
        self._since += 1
        self._due += self.period
        return True

    def close(self, size=0):
        """End the block: its length, at least `size`. block[:length] is to be kept; then a new one begins."""
        self._record(END)
        bits, out = self._bits, self.block
        if bits[2]:
            self._put(0, 8 - bits[2])
        length = max(size, bits[0] + CRC)
        for i in range(bits[0], length):
            out[i] = 0
        whole = (self._due + TICKS // 2) // TICKS
        struct.pack_into(HEAD, out, 0, MAGIC, VERSION, 0, length, self.frames, self.first, whole, self._start_period)
        struct.pack_into("<I", out, length - CRC, crc32(memoryview(out)[:length - CRC]))
        self.frames = 0
        bits[0], bits[1], bits[2] = HEAD_SIZE, 0, 0
        return length

    def filled(self):
        """Bytes of the block if it were closed now, or one or two less."""
        return self._bits[0] + CRC if self.frames else 0

    def age(self, now):
        """ms from the block's first frame to now; 0 where it has none."""
        return now - self.first if self.frames else 0

    def _open(self, early, late):
        """Begin a block. Its first frame comes when the last block expected it, if it may."""
        due = self.first + self._due // TICKS
        self.first = max(early, min(late, due))
        self._same = self._due = 0
        self._start_period = self.period
        self._anchor = self._since = 0

    def _time(self, early, late):
        """Say when this frame comes if it is far from the even time; learn the period."""
        first = self.first * TICKS
        early, late = early - first, late - first
        due = self._due
        came = max(early, min(late, due))
        off = came - due
        if -_SLACK <= off <= _SLACK:
            return
        before = due - self.period
        came = max(came, before)  # several that came at once were taken to be apart
        gap = came - before
        if abs(off) * 2 < self.period and self._since:
            self.period = (came - self._anchor) // self._since
        else:  # another rate, or a pause
            if gap <= _SLOWEST:
                self.period = max(1, gap)
            self._anchor, self._since = came, 0
        self._record(TIME)
        self._gamma(gap)
        self._put(self.period, 16)
        self._due = came

    def _write_whole(self, slots, count):
        self._record(WHOLE)
        self._put(count - 1, 9)
        bits = self._bits
        if bits[2]:
            self._put(0, 8 - bits[2])
        bits[0] = runs(slots, count, self.block, bits[0])
        rest(self._lot, slots, count)
        self._count = count

    def _write_delta(self, slots, count, found):
        n, last = found >> 10, found >> 1 & 511
        bits = self._bits
        at, wait, waits, same = bits[0], bits[1], bits[2], self._same
        limit = at + _need(-1, count)
        if n > _FEW:  # where the runs would lie; they are written again if they are shorter
            limit = min(limit, runs(slots, count, self.block, at + _ROOM) - _ROOM + 2)
        self._record(DELTA)
        self._gamma(n - 1)
        k, gaps = 0, last + 1 - n
        while k < 7 and (n << k) * 3 < gaps * 2:
            k += 1
        self._put(k, 3)
        if not delta(slots, count, self._lot, self.block, bits, k, limit):
            bits[0], bits[1], bits[2], self._same = at, wait, waits, same
            self._write_whole(slots, count)

    def _record(self, kind):
        self._gamma(self._same)
        self._put(kind, 2)
        self._same = 0

    def _gamma(self, n):
        """n >= 0 as n + 1 in binary, after as many 0 as it has digits less one (Elias's gamma code)."""
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
        wait, waits = bits[1] << n | value, bits[2] + n
        while waits >= 8:
            waits -= 8
            out[bits[0]] = wait >> waits & 255
            bits[0] += 1
        bits[1], bits[2] = wait & (1 << waits) - 1, waits


def _need(found, count):
    """The most bytes that a frame takes: of what survey found, or a whole one (-1)."""
    whole = count + (count >> 7) + 2
    if found < 0:
        return whole
    n = found >> 10
    # A slot that does not follow takes 11 bits at most, and where the next one lies 9 and less the more there are.
    return min(whole, n * 20 >> 3) if n <= _FEW else whole
