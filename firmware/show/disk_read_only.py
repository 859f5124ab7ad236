"""A disk that can only be read. Loaded by shelf.py or show.py for a show that must not be changed, and stays then."""

from firmware.show.file_disk import EROFS


def only_look(show, lamps):
    """A show has more lamps than the device has memory for: those that are left out must stay in its file."""
    show.read_only = True
    show.disk = show.looks.disk = ReadOnly(show.disk)
    show.faults.append("%s has %d lamps, this device takes %d: it can be looked at, not changed" % (
        show.name, lamps, show.rig.most))


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
