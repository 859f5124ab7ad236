"""The firmware in one file, as a file system that `import` reads. host/archive.py makes that file, and this code is its
first part: on a board it is /halfstop.mpy, where MicroPython reads this module and looks no further.

Behind the code: a table of _SLOTS entries, then the files. An entry holds the CRC-32 of a path, where its file begins,
and its length; its place is the CRC's lowest bits, or the next that is free. A folder begins at 0. Table and files are
each followed by their CRC-32, so that a whole one has a CRC-32 of _WHOLE. A file is checked before anybody reads it:
MicroPython trusts what it loads, and a wrong bit could stop the chip.

Nothing of the table stays in memory, nor does a file: /main.py has already checked the code itself.
"""

import io
from binascii import crc32
from struct import unpack_from

import vfs
from micropython import const

_HEAD = const(2048)  # bytes of this code, filled up, its CRC-32 the last four
_SLOTS = const(512)
_ENTRY = const(12)
_NAME = const(0x3FFFFFFF)  # what counts of a path's CRC-32: a small int
_WHOLE = const(0x2144DF1C)  # the CRC-32 of any bytes that their own CRC-32 follows
_FILE = (0x8000, 0, 0, 0, 0, 0, 0, 0, 0, 0)  # what stat says: only the kind
_FOLDER = (0x4000, 0, 0, 0, 0, 0, 0, 0, 0, 0)
_ENOENT, _EIO, _EROFS = const(2), const(5), const(30)
_BUFFER_SIZE, _CHUNK = const(11), const(255)  # what a reader of MicroPython's asks for, and the most that it takes

_file = open(__file__, "rb")  # noqa: SIM115  for as long as the firmware runs
_entry = bytearray(_ENTRY)
_chunk = memoryview(bytearray(256))
_damage = []


class _Reader(io.IOBase):
    """Reads one module: import reads a module to its end before it runs it, so there is never a second at a time."""

    def readinto(self, buffer):
        left = self.left
        n = min(_file.readinto(buffer), left)  # what is behind the module's end nobody looks at
        self.left = left - n
        return n

    def ioctl(self, request, argument):
        return _CHUNK if request == _BUFFER_SIZE else 0


_reader = _Reader()


class _Folder:
    """One of the folders of the archive, and what is in it. Nothing can be written."""

    def __init__(self, name):
        self.name = name

    def mount(self, readonly, mkfs):
        pass

    def umount(self):
        pass

    def stat(self, path):
        if path.endswith(".py"):
            raise OSError(_ENOENT)
        return _FILE if self._find(path)[1] else _FOLDER

    def ilistdir(self, path):
        """Nothing: its names are not kept."""
        return iter(())

    def open(self, path, mode):
        if "r" not in mode:
            raise OSError(_EROFS)
        _, at, size = self._find(path)
        if not _is_whole(at, size):
            raise _damaged(self.name + path)
        _file.seek(at)
        if path.endswith(".mpy"):
            _reader.left = size
            return _reader
        data = _file.read(size)
        return io.BytesIO(data) if "b" in mode else io.StringIO(str(data, "utf-8"))

    def _find(self, path):
        """(its CRC-32, where it begins, its length). Errors: OSError."""
        name = crc32(path, crc32(self.name)) & _NAME
        slot = name
        try:
            while True:
                _file.seek(_HEAD + slot % _SLOTS * _ENTRY)
                _file.readinto(_entry)
                found = unpack_from("<III", _entry)
                if found[0] == name:
                    return found
                if not found[0]:
                    break
                slot += 1
        except OSError:  # littlefs has lost its way
            raise _damaged(self.name + path)
        raise OSError(_ENOENT)


def _is_whole(at, size):
    """True if the CRC-32 behind so many bytes is theirs."""
    crc, left = 0, size + 4
    try:
        _file.seek(at)
        while left > 256:
            _file.readinto(_chunk)
            crc = crc32(_chunk, crc)
            left -= 256
        return crc32(_file.read(left), crc) == _WHOLE
    except OSError:
        return False


def _damaged(what):
    _damage.append(what)
    return OSError(_EIO, "the firmware is damaged in %s: run python -m host flash" % what)


def run():
    """Start the firmware, which never ends. Comes back only where a part that it needs is damaged: words."""
    try:
        if not _is_whole(_HEAD, _SLOTS * _ENTRY):
            return "damaged in its table"
        for name in ("firmware", "hal", "boards"):
            vfs.mount(_Folder(name), "/" + name)
        from firmware.main import run

        run()
    except Exception:
        if not _damage:
            raise
    return _damage and "damaged in " + _damage[0]
