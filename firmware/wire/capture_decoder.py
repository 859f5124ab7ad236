"""Reads frames from the blocks of a capture. The format is described in CAPTURES.md beside this file. Pure. Used by
stage/capture_file.py."""

import struct
from array import array
from binascii import crc32

from firmware.universe import SLOTS
from firmware.wire.capture_format import CRC, DELTA, END, HEAD_SIZE, LENGTH, LONGEST, STATES_SIZE, TICKS, TIME, parse

try:
    from firmware.wire.capture_code_read_viper import read_delta, read_runs
    from firmware.wire.capture_code_viper import advance, reset
except (ImportError, SyntaxError, NameError):  # a port without native code; CPython knows no ptr8
    from firmware.wire.capture_code import advance, reset
    from firmware.wire.capture_code_read import read_delta, read_runs


class Decoder:
    """Blocks in, frames out. Read a block into `block`, `open` it, and call `next` for each frame.

    Of the frame: `frame`, the values of all 512 slots; `count`, how many of them the packet had; `at`, when it came, ms
    since the capture began. Of the block: `frames`, how many it has; `first`, when the first of them came, ms;
    `lasts_ms`, from then to when the frame after the last was expected.
    """

    def __init__(self):
        self.block = bytearray(LONGEST)
        self._states = bytearray(STATES_SIZE)
        self.frame = memoryview(self._states)[:SLOTS]
        self.count = 0
        self.at = self.first = self.frames = self.lasts_ms = 0
        self._bits = array("i", (0,))
        self._end = 0  # index of the byte after the bits
        self._left = 0  # frames of the block that are still to come
        self._predicted = 0  # of them, the next ones all of whose slots are as predicted
        self._kind = -1  # of the record after those; -1: not read yet
        self._due = self._last = self._period = 0

    def open(self, length):
        """Begin with the block that is block[:length] -> None, or in words why it cannot be read."""
        head = parse(self.block, length)
        if head is None:
            return "no block"
        if head[LENGTH] != length:
            return "not whole"
        end = length - CRC
        if struct.unpack_from("<I", self.block, end)[0] != crc32(memoryview(self.block)[:end]):
            return "damaged (wrong CRC)"
        _length, self.frames, self.first, self.lasts_ms, self._period = head
        self._bits[0] = HEAD_SIZE << 3
        self._end, self._left = end, self.frames
        self._predicted, self._kind = 0, -1
        self._due = self._last = 0
        return None

    def next(self):
        """Go on to the next frame -> True, or False where the block has no more."""
        while self._left:
            if self._predicted:
                self._predicted -= 1
                advance(self._states, self.count)
                return self._take()
            if self._kind < 0:
                self._predicted, self._kind = self._gamma(), self._get(2)
                continue
            kind, self._kind = self._kind, -1
            if kind == TIME:
                self._due = self._last + self._gamma()
                self._period = self._get(2) << 14 | self._get(14)
            elif kind == END or not self._read(kind):
                self._left = 0
            else:
                return self._take()
        return False

    def _take(self):
        """A frame has been read: set its time. -> True"""
        self._left -= 1
        self.at = self.first + (self._due + TICKS // 2) // TICKS
        self._last = self._due
        self._due += self._period
        return True

    def _read(self, kind):
        """Read a record with slots. False where the bits end before it does."""
        bits = self._bits
        if kind == DELTA:
            n = self._gamma() + 1
            return read_delta(self.block, self._end, bits, self._states, self.count, n, self._get(3))
        self.count = self._get(9) + 1
        at = read_runs(self.block, bits[0] + 7 >> 3, self._end, self._states, self.count)
        bits[0] = at << 3
        reset(self._states, self._states, self.count)
        return at > 0

    def _gamma(self):
        """Read a number in Elias's gamma code."""
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
        """Read n bits, 14 at most. Beyond the end they are 0."""
        at, place = self._bits[0] >> 3, self._bits[0] & 7
        self._bits[0] += n
        if at >= self._end:
            return 0
        three = self.block[at] << 16 | self.block[at + 1] << 8 | self.block[at + 2]
        return three >> 24 - place - n & (1 << n) - 1
