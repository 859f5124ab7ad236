"""The file of a capture as blocks: finds them, past damage too, and the one that holds a given moment. Used by
capture_player.py and the pages of captures."""

from array import array

from micropython import const

from firmware.wire.capture_decoder import Decoder
from firmware.wire.capture_format import FIRST_MS, HEAD_SIZE, LENGTH, MAGIC, parse

_CHUNK = const(256)  # bytes read at once while a block is searched for
_MOST = const(128)  # blocks in the index; of a longer file it has every second, fourth, ... block


class CaptureFile:
    """A capture's file, read block by block. `decoder`: the block that is open; `ms`: length of the capture, once it is
    scanned; `missing`: [(ms, ms)] stretches that cannot be read, 20 at most; `at`: the byte after the open block."""

    def __init__(self, disk, path):
        self._disk, self._path = disk, path
        self._size = disk.length(path)
        self._chunk = bytearray(_CHUNK)
        self._offsets, self._times = array("I"), array("I")  # the index: byte and ms at which blocks begin
        self._every, self._blocks = 1, 0  # every so many blocks one is in the index; blocks so far
        self._scanned = 0  # byte up to which the heads were read
        self.decoder = Decoder()
        self.ms = 0
        self.missing = []
        self.at = 0
        self._end = 0  # ms at which the last open block ended

    def scan(self, blocks):
        """Read the heads of so many more blocks -> True when all have been read. Errors: OSError."""
        for _ in range(blocks):
            at = self._find(self._scanned)
            if at < 0:
                return True
            length, _frames, first_ms, lasts_ms, _period = self._head
            if self._blocks % self._every == 0:
                if len(self._offsets) == _MOST:
                    self._halve_index()
                if self._blocks % self._every == 0:
                    self._offsets.append(at)
                    self._times.append(first_ms)
            self._blocks += 1
            self.ms = max(self.ms, first_ms + lasts_ms)
            self._scanned = at + length
        return False

    def open(self):
        """Open the next sound block -> True, or False where there is none."""
        damaged = False
        while True:
            at = self._find(self.at)
            if at < 0:
                if damaged or self.at < self._size:
                    self._add_missing(self._end, self.ms)
                self.at = self._size
                return False
            damaged = damaged or at != self.at
            length = self._head[LENGTH]
            self._disk.read_part(self._path, at, memoryview(self.decoder.block)[:length])
            if self.decoder.open(length) is None:
                break
            damaged = True
            self.at = at + length if self._is_head(at + length) or at + length == self._size else at + 1
        if damaged:
            self._add_missing(self._end, self.decoder.first)
        self.at = at + length
        self._end = self.decoder.first + self.decoder.lasts_ms
        return True

    def seek(self, ms):
        """Open the block whose frames are on at a moment (ms), or a sound one after it -> False where there is none.
        All blocks must have been scanned."""
        low, high = 0, len(self._times)
        while high - low > 1:
            middle = (low + high) >> 1
            if self._times[middle] <= ms:
                low = middle
            else:
                high = middle
        at = self._offsets[low] if self._offsets else 0
        while self._is_head(at):
            following = at + self._head[LENGTH]
            if not self._is_head(following) or self._head[FIRST_MS] > ms:
                break
            at = following
        self.at, self._end = at, ms
        return self.open()

    def _add_missing(self, start, end):
        stretch = (start, end)
        if end > start and stretch not in self.missing and len(self.missing) < 20:
            self.missing.append(stretch)

    def _find(self, at):
        """The first byte from `at` on where a block seems to begin, or -1 where none does. Sets _head."""
        while 0 <= at < self._size:
            if self._is_head(at):
                return at
            at = self._search(at + 1)
        return -1

    def _is_head(self, at):
        """Read a head at this byte into _head -> True where it is one, and its block ends within the file."""
        n = self._disk.read_part(self._path, at, self._chunk) if at < self._size else 0
        self._head = parse(self._chunk, n) if n >= HEAD_SIZE else None
        return self._head is not None and at + self._head[LENGTH] <= self._size

    def _search(self, at):
        """The next byte from `at` on that may begin a block, or -1."""
        while at < self._size:
            n = self._disk.read_part(self._path, at, self._chunk)
            found = bytes(memoryview(self._chunk)[:n]).find(MAGIC)
            if found >= 0:
                return at + found
            at += max(1, n - 1)
        return -1

    def _halve_index(self):
        """Take every second block out of the index."""
        self._offsets = array("I", [self._offsets[n] for n in range(0, _MOST, 2)])
        self._times = array("I", [self._times[n] for n in range(0, _MOST, 2)])
        self._every *= 2


def length(disk, path):
    """Length of a capture in ms, from the heads of its blocks. Errors: OSError."""
    file = CaptureFile(disk, path)
    while not file.scan(64):
        pass
    return file.ms
