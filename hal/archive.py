"""The firmware in one file, as a file system that `import` reads. host/archive.py makes that file, and this code is its
first part: on a board it is /halfstop.mpy, where MicroPython reads this module and looks no further.

Behind the code: the names of the folders, a line each; a table of _SLOTS entries; the files. An entry holds the CRC-32
of a path, where its file begins, and its length; its place is the CRC's lowest bits, or the next that is free. Folders
and table together, and each file, are followed by their CRC-32, so that what is whole has a CRC-32 of _WHOLE. A file is
checked before anybody reads it: MicroPython trusts what it loads, and a wrong bit could stop the chip. A length with
_DEFLATED in it is that of a module that stands there deflated (RFC 1951): half as long, but slower to load.

Modules with short names (host/shorten.py) are imported by those alone: their folder is on sys.path. What import finds
in MicroPython itself only after it has searched the flash, 3 ms on the emulated RP2040 each time, is entered among the
loaded modules here.

Nothing of the table stays in memory, nor does a file. /main.py has already checked the code itself. Its names are
those that MicroPython has in ROM where there is a good one, since a new name stays in RAM.
"""

import io
import sys
from binascii import crc32
from struct import unpack_from

import deflate
import vfs
from micropython import const

_HEAD = const(2048)  # bytes of this code, filled up, its CRC-32 the last four
_FOLDERS = const(1024)  # bytes
_TABLE = const(3072)  # where it begins
_SLOTS = const(512)
_ENTRY = const(12)
_DEFLATED = const(0x20000000)  # in a length; a small int
_WINDOW = const(10)  # a power of two, bytes: what of a deflated module is held in memory to read on
_NAME = const(0x3FFFFFFF)  # what counts of a path's CRC-32: a small int
_WHOLE = const(0x2144DF1C)  # the CRC-32 of any bytes that their own CRC-32 follows
_ENOENT, _EIO, _EROFS = const(2), const(5), const(30)
_FLAT = "f"  # the folder of modules with short names
_BUFFER_SIZE, _READER, _CHUNK = const(11), const(255), const(256)  # a question of MicroPython's; the most that it reads

file = open(__file__, "rb")  # noqa: SIM115  for as long as the firmware runs
buffer = bytearray(_CHUNK)
index = bytearray(_ENTRY)
damage = []  # what was found damaged
_FILE = 0x8000, 0, 0, 0, 0, 0, 0, 0, 0, 0
_FOLDER = 0x4000, 0, 0, 0, 0, 0, 0, 0, 0, 0


class Reader(io.IOBase):
    """Reads one module, from where the archive's file stands: `count` bytes. There is one reader, since import reads a
    module to its end before it runs it."""

    def readinto(self, buf):
        n = file.readinto(buf)
        if n > self.count:
            n = self.count  # what came beyond that, nobody looks at
        self.count -= n
        return n

    def ioctl(self, request, argument):
        return _READER if request == _BUFFER_SIZE else 0


class Folder:
    """One of the archive's folders and what is in it, to be read only. name: its own."""

    def mount(self, *options):
        pass

    umount = mount

    def stat(self, path):
        """For import: only the kind is told, and a name without an ending is a file where it is no folder, since import
        then goes on as if there were none, and an exception costs more."""
        if path.endswith(".py"):
            raise OSError(_ENOENT)
        if path.endswith(".mpy"):
            self.find(path)
        elif "\n%s%s\n" % (self.name, path) in folders:
            return _FOLDER
        return _FILE

    def open(self, path, mode):
        if "r" not in mode:
            raise OSError(_EROFS)
        _, start, size = self.find(path)
        deflated = size & _DEFLATED
        size ^= deflated
        if not is_whole(start, size):
            damage.append(self.name + path)
            raise OSError(_EIO, "the firmware is damaged in %s: run halfstop flash" % damage[0])
        file.seek(start)
        if deflated:
            return deflate.DeflateIO(file, deflate.RAW, _WINDOW)
        if path.endswith(".mpy"):
            reader.count = size
            return reader
        data = file.read(size)
        return io.BytesIO(data) if "b" in mode else io.StringIO(str(data, "utf-8"))

    def find(self, path):
        """A file's entry: the CRC-32 of its path, where it begins, its length. Errors: OSError(ENOENT)."""
        global found
        name = slot = crc32(path, crc32(self.name)) & _NAME
        while found[0] != name:  # else it is what stat has just found
            file.seek(_TABLE + slot % _SLOTS * _ENTRY)
            file.readinto(index)
            found = unpack_from("<III", index)
            if not found[0]:
                raise OSError(_ENOENT)
            slot += 1
        return found


def is_whole(start, size):
    """True if the CRC-32 that follows so many bytes is theirs."""
    crc = 0
    size += 4
    try:
        file.seek(start)
        while size > _CHUNK:
            file.readinto(buffer)
            crc = crc32(buffer, crc)
            size -= _CHUNK
        return crc32(file.read(size), crc) == _WHOLE
    except OSError:  # littlefs has lost its way
        return False


def run(module):
    """Call `run` of one of the archive's modules, which never ends. Where a part that it needs is damaged: words."""
    try:
        if not damage:
            __import__(module, None, None, ("run",)).run()
    except Exception:
        if not damage:
            raise
    return damage and "damaged in " + damage[0]


reader = Reader()
found = 0, 0, 0
if is_whole(_HEAD, _FOLDERS + _SLOTS * _ENTRY):
    file.seek(_HEAD)
    folders = str(file.read(_FOLDERS), "utf-8").rstrip("\0")
else:
    damage.append("its table")
for name in (_FLAT, "firmware", "hal", "boards"):
    folder = Folder()
    folder.name = name
    vfs.mount(folder, "/" + name)
path = sys.path[:]
sys.path.clear()  # import then looks for MicroPython's own modules alone
for name in ("array", "binascii", "collections", "errno", "io", "json", "machine", "os", "struct", "time"):
    sys.modules[name] = __import__(name)
sys.path.extend(["/" + _FLAT] + path)
