"""hal.contract.Disk on MicroPython's file systems: every board and the unix VM use it as it is.

A board gives it a root folder ("" is where the chip's littlefs is mounted). littlefs syncs a file when the file is
closed, and renames in one step; `os.sync` is called where a port has it, for file systems that write later.
"""

import os
from errno import EEXIST, ENOENT

from micropython import const

_FOLDER = const(0x4000)  # the folder bit of os.stat and os.ilistdir


class Disk:
    """The chip's flash. root: the folder that paths start from, without its last '/'."""

    def __init__(self, root=""):
        self._root = root + "/"
        self._sync = getattr(os, "sync", None)

    def read(self, path):
        with open(self._root + path, "rb") as file:
            return file.read()

    def write(self, path, data):
        self._put(path, data, "wb")

    def append(self, path, data):
        self._put(path, data, "ab")

    def length(self, path):
        return os.stat(self._root + path)[6]

    def read_part(self, path, at, buffer):
        with open(self._root + path, "rb") as file:
            file.seek(at)
            return file.readinto(buffer)

    def reader(self, path):
        return open(self._root + path, "rb")

    def rename(self, old, new):
        os.rename(self._root + old, self._root + new)

    def remove(self, path):
        path = self._root + path
        if os.stat(path)[0] & _FOLDER:
            os.rmdir(path)
        else:
            os.remove(path)

    def mkdir(self, path):
        try:
            os.mkdir(self._root + path)
        except OSError as error:
            if error.errno != EEXIST:
                raise

    def list(self, path=""):
        """Without what is mounted among the root's files, such as the firmware's archive: an entry of three parts."""
        try:
            found = [entry for entry in os.ilistdir(self._root + path) if len(entry) > 3 or self._root != "/"]
            return sorted([entry[0] + ("/" if entry[1] & _FOLDER else "") for entry in found])
        except OSError as error:
            if error.errno != ENOENT:
                raise
            return []

    def free(self):
        size, total, left = [os.statvfs(self._root)[i] for i in (1, 2, 3)]
        # littlefs counts some blocks twice: nearly full, what is left falls below 0 and wraps around.
        return (left if left <= total else 0) * size, total * size

    def _put(self, path, data, mode):
        with open(self._root + path, mode) as file:
            for piece in data if isinstance(data, list) else (data,):
                file.write(piece)
        if self._sync:
            self._sync()
