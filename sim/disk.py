"""The desktop's hal.contract.Disk: in RAM for tests, in a folder for the simulator.

Both can lose power: `cut_after(n)` lets n - 1 more write steps happen and raises PowerCut in place of the nth; until
`power_up()` every call raises it again. Where littlefs would leave a file whole or not at all, these also leave it half
written: what survives here survives littlefs (sim/flash.py).
"""

import errno
import io
import os

from firmware.show.file_disk import BLOCK
from sim import littlefs_blocks

SIZE = 352 * BLOCK  # bytes of the smallest board's file system, the Pico's (boards/pico.py)


class PowerCut(BaseException):
    """The power went off. It is not an Exception: nothing in the firmware may catch it."""


class Fuse:
    """Counts write steps, and blows at a given one."""

    def __init__(self):
        self.steps = 0  # taken since power-up
        self.all = 0  # taken in all
        self.left = None  # steps until it blows, None: never
        self.blown = False

    def check(self):
        """Errors: PowerCut once it has blown."""
        if self.blown:
            raise PowerCut

    def step(self):
        """Take one write step. Errors: PowerCut; then the step does not happen."""
        self.check()
        if self.left is not None:
            self.left -= 1
            if self.left <= 0:
                self.blown = True
                raise PowerCut
        self.steps += 1
        self.all += 1

    def reset(self, left=None):
        """Begin to count again. left: as above."""
        self.steps, self.left, self.blown = 0, left, False


def whole(data):
    """Bytes to write, of bytes or of a list of them."""
    return b"".join(data) if isinstance(data, list) else bytes(data)


class MemoryDisk:
    """Files in a dict. files: {path: bytes} at the start; their folders are made. size: bytes of the disk. Room is
    counted in blocks as littlefs counts them (sim/littlefs_blocks.py)."""

    def __init__(self, files=None, size=SIZE):
        self.files = {}
        self.folders = {""}
        self.size = size
        self._fuse = Fuse()
        for path, data in (files or {}).items():
            self.folders.update(path[:at] for at, letter in enumerate(path) if letter == "/")
            self.files[path] = bytes(data)

    def cut_after(self, n):
        """Raise PowerCut in place of the nth write step from now."""
        self._fuse.reset(n)

    def power_up(self):
        """Power is back, and no cut is set -> the write steps since the last power-up."""
        steps = self._fuse.steps
        self._fuse.reset()
        return steps

    @property
    def writes(self):
        """Write steps so far: another number says that the files may have changed."""
        return self._fuse.all

    def read(self, path):
        self._fuse.check()
        if path not in self.files:
            raise OSError(errno.ENOENT, path)
        return self.files[path]

    def write(self, path, data):
        self._put(path, b"", data)

    def append(self, path, data):
        self._put(path, self.files.get(path, b""), data)

    def length(self, path):
        return len(self.read(path))

    def read_part(self, path, at, buffer):
        part = self.read(path)[at : at + len(buffer)]
        buffer[: len(part)] = part
        return len(part)

    def reader(self, path):
        return io.BytesIO(self.read(path))

    def rename(self, old, new):
        if old in self.files:
            self._parent(new)
            self._fuse.step()
            self.files[new] = self.files.pop(old)
        elif old in self.folders:
            self._rename_folder(old, new)
        else:
            self._fuse.check()
            raise OSError(errno.ENOENT, old)

    def remove(self, path):
        self._fuse.check()
        if path in self.folders and path:
            if self.list(path):
                raise OSError(errno.ENOTEMPTY, path)
            self._fuse.step()
            self.folders.remove(path)
        elif path in self.files:
            self._fuse.step()
            del self.files[path]
        else:
            raise OSError(errno.ENOENT, path)

    def mkdir(self, path):
        self._fuse.check()
        if path in self.files:
            raise OSError(errno.EEXIST, path)
        if path not in self.folders:
            self._parent(path)
            self._fuse.step()
            self.folders.add(path)

    def list(self, path=""):
        self._fuse.check()
        start = path + "/" if path else ""
        files = [p[len(start) :] for p in self.files if p.startswith(start)]
        folders = [p[len(start) :] + "/" for p in self.folders if p and p.startswith(start) and p != path]
        return sorted(name for name in files + folders if name.find("/", 0, -1) < 0)

    def free(self):
        self._fuse.check()
        return max(0, self.size - littlefs_blocks.used(*self._there()) * BLOCK), self.size

    def _put(self, path, start, data):
        self._parent(path)
        if path in self.folders:
            raise OSError(errno.EISDIR, path)
        data = whole(data)
        steps = ([] if start else [b""]) + [start + data[: len(data) // 2], start + data]
        fits = self._fuse.blown or self.fits(path, len(start), len(steps[-1]))
        for state in steps:
            self._fuse.step()
            if not fits:
                self.files.setdefault(path, b"")
                raise OSError(errno.ENOSPC, path)
            self.files[path] = state

    def fits(self, path, old, new):
        """True where there is room for a file of `new` bytes, of which the first `old` are there. What it held before
        is free only when the new is written."""
        files, folders = self._there()
        return littlefs_blocks.needed(files, folders, path, old, new) * BLOCK <= self.size

    def _there(self):
        """({path: bytes} of the files, paths of the folders)."""
        return {path: len(data) for path, data in self.files.items()}, self.folders

    def _parent(self, path):
        if path.rpartition("/")[0] not in self.folders:
            raise OSError(errno.ENOENT, path)

    def _rename_folder(self, old, new):
        self._parent(new)
        if new in self.files or self.list(new):
            raise OSError(errno.ENOTEMPTY, new)
        self._fuse.step()
        move = lambda p: new + p[len(old) :] if p == old or p.startswith(old + "/") else p  # noqa: E731
        self.files = {move(p): data for p, data in self.files.items()}
        self.folders = {move(p) for p in self.folders}


class FolderDisk:
    """Files in a folder of the desktop. path: made where it does not exist; size: bytes that the disk claims to have,
    counted as MemoryDisk does.
    """

    def __init__(self, path, size=SIZE):
        import pathlib  # MemoryDisk runs in the browser too, where this is missing

        self._root = pathlib.Path(path)
        self._root.mkdir(parents=True, exist_ok=True)
        self.size = size
        self._fuse = Fuse()

    cut_after = MemoryDisk.cut_after
    fits = MemoryDisk.fits
    power_up = MemoryDisk.power_up

    def read(self, path):
        self._fuse.check()
        return (self._root / path).read_bytes()

    def write(self, path, data):
        self._put(path, data, "wb")

    def append(self, path, data):
        self._put(path, data, "ab")

    def length(self, path):
        self._fuse.check()
        return (self._root / path).stat().st_size

    def read_part(self, path, at, buffer):
        self._fuse.check()
        with open(self._root / path, "rb") as file:
            file.seek(at)
            return file.readinto(buffer)

    def reader(self, path):
        self._fuse.check()
        return open(self._root / path, "rb")

    def rename(self, old, new):
        self._fuse.step()
        os.replace(self._root / old, self._root / new)

    def remove(self, path):
        self._fuse.step()
        path = self._root / path
        if path.is_dir():
            path.rmdir()
        else:
            path.unlink()

    def mkdir(self, path):
        self._fuse.step()
        (self._root / path).mkdir(exist_ok=True)

    def list(self, path=""):
        self._fuse.check()
        folder = self._root / path
        return sorted(p.name + "/" * p.is_dir() for p in folder.iterdir()) if folder.is_dir() else []

    def free(self):
        self._fuse.check()
        import shutil

        left = self.size - littlefs_blocks.used(*self._there()) * BLOCK
        return max(0, min(left, shutil.disk_usage(self._root).free)), self.size

    def _there(self):
        """({path: bytes} of the files, paths of the folders)."""
        files, folders = {}, {""}
        for path in self._root.rglob("*"):
            name = path.relative_to(self._root).as_posix()
            if path.is_dir():
                folders.add(name)
            else:
                files[name] = path.stat().st_size
        return files, folders

    def _put(self, path, data, mode):
        data = whole(data)
        self._fuse.step()
        there = self._root / path
        old = there.stat().st_size if mode == "ab" and there.exists() else 0
        if there.parent.is_dir() and not self.fits(path, old, old + len(data)):
            raise OSError(errno.ENOSPC, path)
        half = len(data) // 2
        with open(self._root / path, mode, buffering=0) as file:
            for part in (data[:half], data[half:]):
                self._fuse.step()
                file.write(part)
            os.fsync(file.fileno())
