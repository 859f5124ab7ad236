"""Writing with room: a file of bytes, or a file that takes another's place in steps that are whole or not there.

Used by file_store.py and file_repair.py, and by whatever writes files that look after themselves.
"""

from firmware.parts import once
from firmware.show.file_disk import ENOSPC, RESERVE, delete


def put(disk, path, data, reserve=0):
    """Write bytes as they are, for files that look after themselves. reserve: bytes to leave free.
    Errors: OSError(ENOSPC, text)."""
    roomy(disk, path, len(data), reserve, lambda: _wrote(disk, path, data))


def put_in_place(disk, path, data, old):
    """Write the next copy, move the present file to `old` (None: there is none), the next in its place.
    Errors: OSError(ENOSPC, text)."""
    roomy(disk, path, len(data), RESERVE, lambda: _swapped(disk, path, data, old))


def roomy(disk, path, count, reserve, act):
    """Call act() with room for `count` bytes beside the reserve; it answers False where there was none after all.
    Where space is short, deleted shows and last good copies give way. path: what for.
    Errors: OSError(ENOSPC, text) and everything is as it was."""
    if reserve and disk.free()[0] < count + reserve or not act():
        once("firmware.show.file_room", "make", disk, path, count, reserve, act)


def _wrote(disk, path, data):
    try:
        disk.write(path, data)
        return True
    except OSError as error:
        if error.errno != ENOSPC:
            raise
    delete(disk, path)
    return False


def _swapped(disk, path, data, old):
    """False, and all is as before, where there is no room."""
    moved = False
    try:
        disk.write(path + "+", data)
        if old:
            disk.rename(path, old)
            moved = True
        disk.rename(path + "+", path)
        return True
    except OSError as error:
        if error.errno != ENOSPC:
            raise
    if moved:
        disk.rename(old, path)
    delete(disk, path + "+")
    return False
