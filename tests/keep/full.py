"""A disk that is full, for tests of what happens then."""

from firmware.show.file_disk import BLOCK
from sim import littlefs_blocks


def fill(disk, leave=0):
    """Write a file "filler" that leaves so many blocks free."""
    blocks = disk.free()[0] // BLOCK - leave
    disk.write("filler", bytes(littlefs_blocks.capacity(blocks)))
    assert disk.free()[0] // BLOCK == leave
