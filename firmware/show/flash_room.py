"""What the files on the device take of its flash, in blocks as littlefs has them. Loaded by the page Storage, by
shelf_edit.py before it copies a show, and by the host.

A file of up to INLINE bytes lies inside its folder's own pair of blocks. A longer one is a chain of blocks, of which
block n > 0 begins with a pointer of 4 bytes for each time that 2 goes into n, and one more (littlefs, SPEC.md, "CTZ
skip-lists", from memory; tests/keep/test_disk.py holds these figures against littlefs itself).
"""

from firmware.show.file_disk import BLOCK, join

INLINE = BLOCK // 8  # bytes: an eighth of a block, and no more than littlefs's cache holds
FIRMWARE, LOOKS, SLATE, CAPTURES, OTHER = range(5)
NAMES = ("Firmware", "Looks", "Slate", "Captures", "Other")
_USERS = ("shows", "trash", "restore", "state")


def file_blocks(size):
    """Blocks of its own that a file of so many bytes takes."""
    if size <= INLINE:
        return 0
    count = -(-size // BLOCK)
    while capacity(count) < size:
        count += 1
    return count


def capacity(count):
    """Bytes that a chain of so many blocks holds."""
    pointers, n = 0, max(0, count - 1)
    while n:
        pointers += n
        n //= 2
    return BLOCK * count - 4 * pointers


def kind(path):
    """Which of the kinds above a file is counted among, or a folder, whose path ends in '/'."""
    parts = path.split("/")
    if parts[0] == "captures":
        return CAPTURES
    if parts[0] in _USERS:
        what = parts[2] if len(parts) > 3 else ""
        return LOOKS if what == "looks" else SLATE if what.startswith("slate") else OTHER
    return OTHER if "/" not in path and path.endswith((".json", ".json~", ".log", ".old", ".txt")) else FIRMWARE


def count(disk, taken, folder=""):
    """Add the blocks of the files in a folder, and in the folders in it, to taken[kind]; a folder's own pair too.
    Yields after each: a place to do something else."""
    for name in disk.list(folder):
        path = join(folder, name)
        if name[-1] == "/":
            taken[kind(path)] += 2
            yield
            for _ in count(disk, taken, path[:-1]):
                yield
        else:
            taken[kind(path)] += file_blocks(disk.length(path))
            yield


def total(disk, folder):
    """Blocks that all files in a folder take, with the folders' own pairs."""
    taken = [0] * len(NAMES)
    for _ in count(disk, taken, folder):
        pass
    return sum(taken) + 2
