"""Blocks of a capture in (capture.py), frames out. Pure. Used by stage/capture_file.py."""

import struct
from array import array
from binascii import crc32

from firmware.wire.capture_format import CRC, DELTA, END, HEAD_SIZE, LONGEST, LOT, TICKS, TIME, parse

try:
    from firmware.wire.capture_code_read_viper import undelta, unruns
    from firmware.wire.capture_code_viper import advance, rest
except (ImportError, SyntaxError, NameError):  # a port without native code; CPython knows no ptr8
    from firmware.wire.capture_code import advance, rest
    from firmware.wire.capture_code_read import undelta, unruns


class Decoder:
    """Blocks in, frames out. `block`: the buffer to read a block into; then `open` it, and call `next` for each frame.

    `frame`: 512 slots, `count`: how many of them the packet had, `at`: ms since the capture began when it came.
    `first`, `frames`, `whole`: of the open block: ms of its first frame, number of frames, ms that it lasts.
    """

    def __init__(self):
        self.block = bytearray(LONGEST)
        self._lot = bytearray(LOT)
        self.frame = memoryview(self._lot)[:512]
        self.count = 0
        self.at = self.first = self.frames = self.whole = 0
        self._bits = array("i", (0,))
        self._end = 0  # byte after the bits
        self._left = 0  # frames to come
        self._run = 0  # of them, that only follow
        self._kind = -1  # of the record after those, -1: not read yet
        self._due = self._last = self._period = 0

    def open(self, length):
        """Begin with the block of so many bytes that lies in `block`. -> None, or what is wrong with it."""
        head = parse(self.block, length)
        if head is None:
            return "no block"
        if head[0] != length:
            return "not whole"
        end = length - CRC
        if struct.unpack_from("<I", self.block, end)[0] != crc32(memoryview(self.block)[:end]):
            return "damaged (wrong CRC)"
        _length, self.frames, self.first, self.whole, self._period = head
        self._bits[0] = HEAD_SIZE << 3
        self._end, self._left = end, self.frames
        self._run, self._kind = 0, -1
        self._due = self._last = 0
        return None

    def next(self):
        """Go on to the next frame. False: the block has no more."""
        while self._left:
            if self._run:
                self._run -= 1
                advance(self._lot, self.count)
                return self._came()
            if self._kind < 0:
                self._run, self._kind = self._gamma(), self._get(2)
                continue
            kind, self._kind = self._kind, -1
            if kind == TIME:
                self._due = self._last + self._gamma()
                self._period = self._get(2) << 14 | self._get(14)
            elif kind == END or not self._read(kind):
                self._left = 0
            else:
                return self._came()
        return False

    def _came(self):
        self._left -= 1
        self.at = self.first + (self._due + TICKS // 2) // TICKS
        self._last = self._due
        self._due += self._period
        return True

    def _read(self, kind):
        """A frame of slots. False where the bits end before it."""
        bits = self._bits
        if kind == DELTA:
            n = self._gamma() + 1
            return undelta(self.block, self._end, bits, self._lot, self.count, n, self._get(3))
        self.count = self._get(9) + 1
        at = unruns(self.block, bits[0] + 7 >> 3, self._end, self._lot, self.count)
        bits[0] = at << 3
        rest(self._lot, self._lot, self.count)
        return at > 0

    def _gamma(self):
        size = 0
        while not self._get(1):
            size += 1
            if size > 30:
                return 0
        n = 1
        for _ in range(size):
            n = n << 1 | self._get(1)
        return n - 1

    def _get(self, n):
        """n bits, up to 14."""
        at, place = self._bits[0] >> 3, self._bits[0] & 7
        self._bits[0] += n
        if at >= self._end:
            return 0
        three = self.block[at] << 16 | self.block[at + 1] << 8 | self.block[at + 2]
        return three >> 24 - place - n & (1 << n) - 1
