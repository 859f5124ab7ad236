"""A real littlefs on a simulated flash chip: for the figures of wear, and for power cuts under CPython."""

import errno
import io

from littlefs import LittleFS, LittleFSError, UserContext

from firmware.show.file_disk import BLOCK
from sim.disk import SIZE, Fuse, PowerCut, whole


class Flash(UserContext):
    """NOR flash under littlefs: programming only clears bits, erases are counted, the fuse cuts the power.

    The step at which the power is cut may happen by half: its first half is new, the other half as before. What
    littlefs does after that goes to a copy that `power_up` discards: it meets no error that it would not meet on a
    chip.
    """

    def __init__(self, blocks, fuse):
        super().__init__(blocks * BLOCK)
        self.erases = [0] * blocks
        self.programmed = 0  # bytes
        self._fuse = fuse
        self.half = False  # the step at which the power is cut happens by half
        self._at_cut = None  # what the flash held when the power went off

    def prog(self, cfg, block, off, data):
        start = block * BLOCK + off
        old = self.buffer[start : start + len(data)]
        self._change(start, bytes(a & b for a, b in zip(old, data, strict=True)))
        self.programmed += len(data)
        return 0

    def erase(self, cfg, block):
        self._change(block * BLOCK, b"\xff" * BLOCK)
        self.erases[block] += 1
        return 0

    def power_up(self):
        if self._at_cut is not None:
            self.buffer, self._at_cut = self._at_cut, None

    def _change(self, start, data):
        try:
            self._fuse.step()
        except PowerCut:
            if self._at_cut is None:
                half = len(data) // 2 if self.half else 0
                self.buffer[start : start + half] = data[:half]
                self._at_cut = bytearray(self.buffer)
        self.buffer[start : start + len(data)] = data


class LittleDisk:
    """A littlefs in RAM, set up as MicroPython's RP2 port does. size: bytes of the disk; prog: bytes that are
    programmed at once."""

    def __init__(self, size=SIZE, prog=256):
        self._fuse = Fuse()
        self.flash = Flash(size // BLOCK, self._fuse)
        # read 32, program 256, cache four times that, look-ahead 32, 100 cycles: extmod/vfs_lfsx.c and the
        # RP2 port's _boot.py, from memory.
        self._settings = {
            "block_size": BLOCK, "block_count": size // BLOCK, "read_size": 32, "prog_size": prog,
            "cache_size": 4 * prog, "lookahead_size": 32, "block_cycles": 100,
        }  # fmt: skip
        self._fs = LittleFS(context=self.flash, **self._settings)

    def cut_after(self, n, half=False):
        """Cut the power in place of the nth program or erase from now, or (half) in the middle of it."""
        self.flash.half = half
        self._fuse.reset(n)

    def power_up(self):
        """Mount again what the flash holds -> the programs and erases since the last power-up."""
        steps = self._fuse.steps
        self._fuse.reset()
        self.flash.power_up()
        self._fs = LittleFS(context=self.flash, mount=False, **self._settings)
        self._fs.mount()
        return steps

    def read(self, path):
        return self._try(lambda: self._read(path))

    def write(self, path, data):
        self._try(lambda: self._put(path, data, "wb"))

    def append(self, path, data):
        self._try(lambda: self._append(path, data))

    def length(self, path):
        return self._try(lambda: self._fs.stat(path).size)

    def read_part(self, path, at, buffer):
        return self._try(lambda: self._read_part(path, at, buffer))

    def reader(self, path):
        return io.BytesIO(self.read(path))

    def rename(self, old, new):
        self._try(lambda: self._fs.rename(old, new))

    def remove(self, path):
        self._try(lambda: self._fs.remove(path))

    def mkdir(self, path):
        self._try(lambda: self._fs.makedirs(path, exist_ok=True))

    def list(self, path=""):
        def entries():
            return sorted(e.name + "/" * (e.type == 2) for e in self._fs.scandir(path or "/"))

        try:
            return self._try(entries)
        except OSError as error:
            if error.errno == errno.ENOENT:
                return []
            raise

    def free(self):
        used = self._try(lambda: self._fs.used_block_count)
        total = self._settings["block_count"]
        return (total - used) * BLOCK, total * BLOCK

    def _read(self, path):
        with self._fs.open(path, "rb") as file:
            return file.read()

    def _read_part(self, path, at, buffer):
        with self._fs.open(path, "rb") as file:
            file.seek(at)
            part = file.read(len(buffer))
            buffer[: len(part)] = part
            return len(part)

    def _append(self, path, data):
        there = path.rpartition("/")[2] in self.list(path.rpartition("/")[0])
        self._put(path, data, "ab" if there else "wb")  # this binding's "a" wants the file to be there

    def _put(self, path, data, mode):
        with self._fs.open(path, mode) as file:
            file.write(whole(data))

    def _try(self, act):
        self._fuse.check()
        try:
            result = act()
            self._fuse.check()
            return result
        except (LittleFSError, OSError) as error:
            self._fuse.check()
            code = getattr(error, "code", None) or getattr(error.__cause__, "code", None)
            raise OSError(-code if code else error.errno, str(error)) from error
