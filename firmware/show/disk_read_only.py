"""A disk that can only be read. Loaded by shelf.py for a show that must not be changed, and stays then."""

from firmware.show.file_disk import EROFS


class ReadOnly:
    """A disk (hal/contract.Disk) that can only be read: for a show that a newer version wrote, or that flash does not
    give."""

    def __init__(self, disk):
        self.read = disk.read
        self.length = disk.length
        self.read_part = disk.read_part
        self.reader = disk.reader
        self.list = disk.list
        self.free = disk.free

    def write(self, path, data):
        raise OSError(EROFS, "This show is open to read only: it cannot be changed")

    append = rename = write

    def remove(self, path):
        self.write(path, b"")

    mkdir = remove
