"""How many blocks of flash a littlefs takes for files, as the boards have it set up. For the desktop's disks, and for
figures of room.

By littlefs's own description (its SPEC.md and DESIGN.md, from memory), held against littlefs itself by
tests/keep/test_disk.py. What a file takes is in firmware/show/flash_room.py. A folder is pairs of blocks, the root has
one too; a pair is split when what it lists takes more than half a block.
"""

from firmware.show.flash_room import INLINE, capacity, file_blocks

_ENTRY = 32  # bytes of a folder that an entry takes beside its name: four tags, its time, where it lies
_PAIR = 1280  # bytes of entries for which one more pair is counted: pairs are half full at least, more or less
_FIRST = 1536  # bytes that the first pair holds in any case


def more_blocks(old, new):
    """Blocks that must be free for a file to grow from `old` to `new` bytes by appending: its last block, where that is
    not full, is written anew."""
    whole = max([n for n in range(file_blocks(old) + 1) if capacity(n) <= old and old > INLINE], default=0)
    return file_blocks(new) - whole


def folder_blocks(entries):
    """Blocks that a folder takes. entries: (name, bytes) of its files, (name, 0) of the folders in it."""
    taken = sum(_ENTRY + len(name.encode()) + (size if size <= INLINE else 0) for name, size in entries)
    return 2 + 2 * max(0, -(-(taken - _FIRST) // _PAIR))


def used(files, folders):
    """Blocks that a file system takes. files: {path: bytes}; folders: paths, "" the root among them."""
    inside = {folder: [] for folder in folders}
    for path, size in files.items():
        folder, _, name = path.rpartition("/")
        inside[folder].append((name, size))
    for path in folders:
        if path:
            folder, _, name = path.rpartition("/")
            inside[folder].append((name, 0))
    return sum(map(file_blocks, files.values())) + sum(map(folder_blocks, inside.values()))


def needed(files, folders, path, old, new):
    """Blocks that are taken at most while a file is written to `new` bytes, of which the first `old` are there already.
    files, folders: as for `used`, before that."""
    before = used(files, folders)
    later = dict(files)
    later[path] = new
    after = used(later, folders)
    return max(after, before + more_blocks(old, new))
