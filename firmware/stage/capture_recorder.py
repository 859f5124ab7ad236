"""Records the feed into flash while it comes in. Made by the pages of captures; feed.py hands it every packet.

Until `begin` it only measures how many bytes the feed takes; from then on it writes blocks (wire/CAPTURES.md). A block
is closed when it is full, and after 10 s, so that a pulled plug costs no more than that. Its length fits the flash
blocks of littlefs, whose files are chains (block n > 0 begins with 1 + trailing zeros of n pointers of 4 bytes;
littlefs SPEC.md, "CTZ skip-lists", from memory): to end with a flash block halves the erases, and the time that writing
takes.
"""

from micropython import const

from firmware.wire.capture_encoder import Encoder
from firmware.wire.capture_format import TICKS

_FLASH_BLOCK = const(4096)  # bytes
_LEAST = const(600)  # bytes that a block needs for one frame of all slots
_LONGEST_MS = const(10000)
_RESERVE = const(32768)  # flash left for looks and the stage's state
_CHECK_EVERY = const(16)  # blocks between two checks of how much flash is free
_ENOSPC = const(28)


class CaptureRecorder:
    """A capture that is being recorded. `number`: of the capture, 0 until `begin`; `ms`: recorded, or measured before
    `begin`; `bytes`: what that takes; `frames`: how many; `free`: bytes of flash that it may still take; `full`: it has
    ended by itself, and `message` says why."""

    def __init__(self, disk, now, hz10=0):
        """disk: hal/contract.Disk; now: ms; hz10: packets in ten seconds, where that is known already, else 0."""
        self.number = 0
        self.full = False
        self.message = ""
        self._disk = disk
        self._path = None
        self._encoder = Encoder()
        if hz10:
            self._encoder.period = TICKS * 10000 // hz10
        self._check_free()
        self._restart(now)

    def begin(self, number, path, now):
        """Write from now on. number: of the capture; path: its file; now: ms. Errors: OSError(ENOSPC, text): there is
        no room."""
        self._check_free()
        if self.free < _FLASH_BLOCK:
            raise OSError(_ENOSPC, "no room to record: delete captures or looks")
        self._disk.write(path, b"")
        self.number, self._path = number, path
        self._encoder.close()
        self._restart(now)

    def add(self, slots, early, late):
        """Add a packet. slots: bytes-like, 1..512; early, late: ms between which it came."""
        early, late = max(0, early - self._start), max(0, late - self._start)
        if self.full:
            return
        if not self._encoder.add(slots, early, late, self._left):
            self._flush()
            if not self.full:
                self._encoder.add(slots, early, late, self._left)
        self.ms = late
        self.frames += 1

    def step(self, now):
        """To be called once a step, whether a packet came or not. now: ms."""
        if not self.full and self._encoder.age(now - self._start) >= _LONGEST_MS:
            self._flush()

    def end(self):
        """Write what is not written yet -> bytes of the capture."""
        if self._encoder.frames and not self.full:
            self._flush()
        return self._written

    @property
    def bytes(self):
        """Bytes so far, those of the block that is being filled included."""
        return self._written + self._encoder.filled()

    def minutes(self):
        """Minutes that the free flash has room for at the rate so far; None before that is known."""
        if self.ms < 1000:
            return None
        return self.free * (self.ms // 100) // (self.bytes * 600)

    def _restart(self, now):
        self._start = now
        self.ms = self.frames = self._written = 0
        self._block = 0  # number in littlefs's chain
        self._left = _FLASH_BLOCK  # bytes to the end of that flash block
        self._count = 0  # blocks of the capture written

    def _check_free(self):
        self.free = max(0, self._disk.free()[0] - _RESERVE)

    def _flush(self):
        """Write the block, and begin another of the right length."""
        unused = self._left - self._encoder.filled()
        length = self._encoder.close(self._left if unused < _LEAST else 0)
        if self._path and not self._write(length):
            return
        self._written += length
        self._left -= length
        if self._path:
            self.free -= length
            self._count += 1
            if self._count % _CHECK_EVERY == 0:
                self._check_free()
            if self.free < _FLASH_BLOCK:
                self._stop("Flash is full")
        if not self._left:
            self._block += 1
            self._left = _FLASH_BLOCK - 4 * (1 + _zeros(self._block))

    def _write(self, length):
        try:
            self._disk.append(self._path, memoryview(self._encoder.block)[:length])
            return True
        except OSError as e:
            self._stop("Flash is full" if e.errno == _ENOSPC else "Flash cannot be written (error %d)" % e.errno)
            return False

    def _stop(self, why):
        self.full = True
        self.message = "%s: %d:%02d recorded and kept" % (why, self.ms // 60000, self.ms // 1000 % 60)


def _zeros(n):
    """Trailing zeros of n in binary."""
    count = 0
    while not n >> count & 1:
        count += 1
    return count
