"""Makes room on a full disk, a file at a time, and clears away. Loaded by file_write.py and shelf_edit.py."""

from firmware.show.file_disk import ENOSPC, RESERVE, TRASH, delete, join


def make(disk, path, count, reserve, act):
    """As file_write.roomy, after its first try. Errors: OSError(ENOSPC, text)."""
    for _gone in spare(disk):
        if (not reserve or disk.free()[0] >= count + reserve) and act():
            return
    text = "no room for %s: it needs %d bytes, %d are free. Delete looks, captures or a show"
    raise OSError(ENOSPC, text % (path, count, max(0, disk.free()[0] - RESERVE)))


def spare(disk):
    """Make room: give up what the host left half brought, deleted shows, then last good copies, a file at a time.
    Yields after each."""
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
    """Mark a deleted show: it can no longer come back whole. Its new path; on a disk full to the brim the old."""
    try:
        disk.rename(path[:-1], path[:-1] + "+")
        return path[:-1] + "+/"
    except OSError as error:
        if error.errno != ENOSPC:
            raise
        return path


def _old_copies(disk, folder):
    """Give up the last good copies in a folder and those in it; one whose file is missing is no spare."""
    names = disk.list(folder)
    for name in names:
        path = join(folder, name)
        if name[-1] == "/":
            yield from _old_copies(disk, path[:-1])
        elif name[-1] == "~" and name[:-1] in names and delete(disk, path):
            yield path


def walk(disk, folder=""):
    """The paths of all files in a folder and in the folders in it."""
    for name in disk.list(folder):
        path = join(folder, name)
        if name[-1] != "/":
            yield path
        else:
            yield from walk(disk, path[:-1])


def shrink(disk, path):
    """Delete one file or empty folder of what lies at a path (folders end in '/'). False: nothing is left."""
    if path[-1] != "/":
        return delete(disk, path)
    for name in disk.list(path[:-1]):
        if shrink(disk, path + name):
            return True
    return delete(disk, path[:-1])
