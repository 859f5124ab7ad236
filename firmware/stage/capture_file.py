"""A capture's file as blocks: finds them, also past damage, and a moment in them. Used by player.py and the pages."""

from array import array

from micropython import const

from firmware.wire.capture_decoder import Decoder
from firmware.wire.capture_format import HEAD_SIZE, MAGIC, parse

_PIECE = const(256)  # bytes read at once while a block is searched for
_MOST = const(128)  # places kept; of a longer file every second, fourth, ... block


class CaptureFile:
    """`decoder`: the block that is open. `ms`: length, once scanned. `missing`: [(ms, ms)] stretches that cannot be
    read. `at`: byte after the open block."""

    def __init__(self, disk, path):
        self._disk, self._path = disk, path
        self._size = disk.length(path)
        self._piece = bytearray(_PIECE)
        self._places, self._times = array("I"), array("I")
        self._every, self._seen = 1, 0
        self._scanned = 0  # byte up to which the heads were read
        self.decoder = Decoder()
        self.ms = 0
        self.missing = []
        self.at = 0
        self._end = 0  # ms after the last block that was open

    def scan(self, blocks):
        """Read the heads of so many blocks more. -> True when all are read."""
        for _ in range(blocks):
            at = self._find(self._scanned)
            if at < 0:
                return True
            length, _frames, first, whole, _period = self._head
            if self._seen % self._every == 0:
                if len(self._places) == _MOST:
                    self._thin()
                if self._seen % self._every == 0:
                    self._places.append(at)
                    self._times.append(first)
            self._seen += 1
            self.ms = max(self.ms, first + whole)
            self._scanned = at + length
        return False

    def open(self):
        """Open the next sound block. -> False: there is none."""
        gap = False
        while True:
            at = self._find(self.at)
            if at < 0:
                if gap or self.at < self._size:
                    self._note(self._end, self.ms)
                self.at = self._size
                return False
            gap = gap or at != self.at
            length = self._head[0]
            self._disk.read_part(self._path, at, memoryview(self.decoder.block)[:length])
            if self.decoder.open(length) is None:
                break
            gap = True
            self.at = at + length if self._is_head(at + length) or at + length == self._size else at + 1
        if gap:
            self._note(self._end, self.decoder.first)
        self.at = at + length
        self._end = self.decoder.first + self.decoder.whole
        return True

    def seek(self, ms):
        """Open the block whose frames are on at a moment (ms), or a sound one after it. -> False: there is none.
        All must have been scanned."""
        low, high = 0, len(self._times)
        while high - low > 1:
            middle = (low + high) >> 1
            if self._times[middle] <= ms:
                low = middle
            else:
                high = middle
        at = self._places[low] if self._places else 0
        while self._is_head(at):
            later = at + self._head[0]
            if not self._is_head(later) or self._head[2] > ms:
                break
            at = later
        self.at, self._end = at, ms
        return self.open()

    def _note(self, start, end):
        stretch = (start, end)
        if end > start and stretch not in self.missing and len(self.missing) < 20:
            self.missing.append(stretch)

    def _find(self, at):
        """The first byte from `at` on where a block seems to begin, -1 without one; sets _head."""
        while 0 <= at < self._size:
            if self._is_head(at):
                return at
            at = self._search(at + 1)
        return -1

    def _is_head(self, at):
        n = self._disk.read_part(self._path, at, self._piece) if at < self._size else 0
        self._head = parse(self._piece, n) if n >= HEAD_SIZE else None
        return self._head is not None and at + self._head[0] <= self._size

    def _search(self, at):
        """The next byte from `at` on that may begin a block, -1 without one."""
        while at < self._size:
            n = self._disk.read_part(self._path, at, self._piece)
            found = bytes(memoryview(self._piece)[:n]).find(MAGIC)
            if found >= 0:
                return at + found
            at += max(1, n - 1)
        return -1

    def _thin(self):
        self._places = array("I", [self._places[n] for n in range(0, _MOST, 2)])
        self._times = array("I", [self._times[n] for n in range(0, _MOST, 2)])
        self._every *= 2


def length(disk, path):
    """ms of a capture, from its heads. Errors: OSError."""
    file = CaptureFile(disk, path)
    while not file.scan(64):
        pass
    return file.ms
