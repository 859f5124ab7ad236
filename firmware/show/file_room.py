"""Frees room on a full disk, one file at a time, and deletes folders. Loaded by file_write.py and shelf.py."""

from firmware.show.file_disk import ENOSPC, RESERVE, TRASH, delete, join


def make(disk, path, count, reserve, act):
    """What file_write.with_room does once its first try has failed. Errors: OSError(ENOSPC, text)."""
    for _gone in spare(disk):
        if (not reserve or disk.free()[0] >= count + reserve) and act():
            return
    text = "no room for %s: it needs %d bytes, %d are free. Delete looks, captures or a show"
    raise OSError(ENOSPC, text % (path, count, max(0, disk.free()[0] - RESERVE)))


def spare(disk):
    """Free room: delete what the host left half sent, then deleted shows, then last good copies. Yields the path after
    each file."""
    while shrink(disk, "restore/"):
        yield "restore"
    for name in disk.list(TRASH):
        path = TRASH + "/" + name
        if name.endswith("/") and not name.endswith("+/"):
            path = _marked(disk, path)
        while shrink(disk, path):
            yield path
    yield from _old_copies(disk, "")


def _marked(disk, path):
    """Mark a deleted show, which can no longer come back whole -> its new path; the old one where the disk is full to
    the last block."""
    try:
        disk.rename(path[:-1], path[:-1] + "+")
        return path[:-1] + "+/"
    except OSError as error:
        if error.errno != ENOSPC:
            raise
        return path


def _old_copies(disk, folder):
    """Delete the last good copies in a folder and the folders in it. One whose file is missing stays."""
    names = disk.list(folder)
    for name in names:
        path = join(folder, name)
        if name[-1] == "/":
            yield from _old_copies(disk, path[:-1])
        elif name[-1] == "~" and name[:-1] in names and delete(disk, path):
            yield path


def shrink(disk, path):
    """Delete one file or empty folder of what is at a path; folders end in '/' -> False where nothing is left."""
    if path[-1] != "/":
        return delete(disk, path)
    for name in disk.list(path[:-1]):
        if shrink(disk, path + name):
            return True
    return delete(disk, path[:-1])
