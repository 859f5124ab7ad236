"""Writes files where there is room: a file of bytes, or one that takes another's place in steps that happen whole or
not at all. Used by file_store.py and file_repair.py, and by whatever writes files that have checks of their own."""

from firmware.parts import once
from firmware.show.file_disk import ENOSPC, RESERVE, drop


def put(disk, path, data, reserve=0):
    """Write bytes as they are, or a list of them one behind the other. reserve: bytes of the disk to leave free.
    Errors: OSError(ENOSPC, text)."""
    count = sum([len(piece) for piece in data]) if isinstance(data, list) else len(data)
    with_room(disk, path, count, reserve, lambda: _write(disk, path, data))


def put_in_place(disk, path, data, old):
    """Write the next copy of a file, rename the present one to `old` (None: there is none), and the next one to its
    name. Errors: OSError(ENOSPC, text)."""
    with_room(disk, path, len(data), RESERVE, lambda: _swap(disk, path, data, old))


def with_room(disk, path, count, reserve, act):
    """Call act() once there is room for `count` bytes beside the reserve. act returns False where there was not enough
    room after all.

    Where room is short, deleted shows and last good copies are deleted. path: what it is for, for the message. Errors:
    OSError(ENOSPC, text), and everything is as it was.
    """
    if reserve and disk.free()[0] < count + reserve or not act():
        once("firmware.show.file_room", "make", disk, path, count, reserve, act)


def _write(disk, path, data):
    """Write a file -> False, and there is no such file, where there is no room."""
    try:
        disk.write(path, data)
        return True
    except OSError as error:
        _raise_unless_full(error, path)
    drop(disk, path)
    return False


def _swap(disk, path, data, old):
    """Swap a file for its next copy -> False, and everything is as before, where there is no room."""
    moved = False
    try:
        disk.write(path + "+", data)
        if old:
            disk.rename(path, old)
            moved = True
        disk.rename(path + "+", path)
        return True
    except OSError as error:
        failed = error
    if moved:
        disk.rename(old, path)
    drop(disk, path + "+")
    _raise_unless_full(failed, path)
    return False


def make_folder(disk, path):
    """Make a folder. Errors: OSError with words for the screen."""
    try:
        disk.mkdir(path)
    except OSError as error:
        if not _in_words(error):
            error = OSError(error.errno, "no folder %s (error %d): nothing can be saved" % (path, error.errno))
        raise error from None


def _in_words(error):
    """True where a disk says itself why it refuses: that of a show that is read only."""
    return len(error.args) > 1 and " " in str(error.args[-1])


def _raise_unless_full(error, path):
    """Errors: OSError with words for the screen, where it is another than that the disk is full."""
    if _in_words(error):
        raise error
    if error.errno != ENOSPC:
        text = "%s cannot be written (error %d): nothing can be saved" % (path, error.errno)
        raise OSError(error.errno, text) from None
