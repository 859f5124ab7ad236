"""The safe file layer: every JSON file that must outlive a power cut is saved and loaded here.

Called by the shelf, the show and the kit page. A file is one sealed JSON object: canon.py says how. What is seldom
needed lies in mend.py (damage, power cuts, older schemas) and room.py (a disk without room), loaded when called for.

Beside a file NAME there may lie, in the same folder:
    NAME+      the next copy, being written; a power cut can leave it, whole or torn
    NAME~      the last good copy: what NAME held before the last save. Gives way when space is short
    NAME.v1    what NAME held before it was brought from schema 1 to a later one (v2: from schema 2, ...)
    NAME.bad   a damaged copy, set aside to be looked at; NAME.2.bad is the second

A save writes NAME+ and syncs it, renames NAME to NAME~, then NAME+ to NAME. Each step is whole or not there,
and after a cut between any two of them `load` and `recover` find either the old content or the new.
"""

from errno import ENOENT

from firmware.drop import drop
from firmware.show.canon import seal, unseal

SCHEMA = 1
STEPS = {}  # STEPS[n](path, obj) -> obj brings a file from schema n to n + 1; the first schema is 1
TRASH = "trash"  # the folder where deleted shows wait
EROFS, ENOSPC = 30, 28  # MicroPython's errno module lacks these two
RESERVE = 16384  # bytes left free: a littlefs that is full to the brim cannot even rename or delete


def save(disk, path, obj):
    """Save a dict of plain JSON values: when this returns, it is on flash. Writes nothing if nothing changed.

    `schema` is added where obj has none. Errors: ValueError for a value that a file cannot hold;
    OSError(ENOSPC, text) and everything is as it was; OSError(EROFS, text) for a file of a newer schema.
    """
    data = seal(obj, SCHEMA)
    was, why = _bytes(disk, path)
    if was == data:
        return
    old = None
    if was is not None:
        obj, why = unseal(was)
        if obj and newer(obj):
            raise OSError(EROFS, path + " was written by a newer version and is left as it is")
        was = obj = None
        old = path + "~"
    if why:
        old = aside(disk, path)
    put_in_place(disk, path, data, old)


def load(disk, path):
    """(obj, fault): the content as a dict with its `schema`, None where there is no such file; and a short
    sentence where it was damaged: the file, what was wrong, what is used instead (None: all is well).

    Finishes a save that a power cut interrupted. Sets a damaged file aside, the last good copy takes its
    place. Brings an older schema to the present one.
    """
    obj, why = read(disk, path)
    if obj is not None and obj["schema"] == SCHEMA:
        return obj, None
    if obj is None and why is None and _bytes(disk, path + "+") == _bytes(disk, path + "~") == (None, None):
        return None, None
    from firmware.show import mend

    found = mend.load(disk, path, obj, why)
    drop("firmware.show.mend")
    return found


def read(disk, path):
    """(obj, why): the content, or None and what is wrong with it (None where there is no such file).
    Changes nothing on the disk."""
    data, why = _bytes(disk, path)
    return (None, why) if data is None else unseal(data)


def remove(disk, path):
    """Delete a file, with its old copy: the file itself goes last. No error where it is gone already."""
    for mark in ("+", "~", ""):
        delete(disk, path + mark)


def recover(disk, folder):
    """Finish or roll back what a power cut left in a folder, before it is listed. Returns the faults."""
    names = disk.list(folder)
    for name in names:
        if name[-1] == "+" or name[-1] == "~" and name[:-1] not in names:
            from firmware.show import mend

            faults = mend.recover(disk, folder, names)
            drop("firmware.show.mend")
            return faults
    return []


def put(disk, path, data, reserve=0):
    """Write bytes as they are, for files that look after themselves. reserve: bytes to leave free.
    Errors: OSError(ENOSPC, text)."""
    roomy(disk, path, len(data), reserve, lambda: _wrote(disk, path, data))


def roomy(disk, path, count, reserve, act):
    """Call act() with room for `count` bytes beside the reserve; it answers False where there was none after all.
    Where space is short, deleted shows and last good copies give way. path: what for.
    Errors: OSError(ENOSPC, text) and everything is as it was."""
    if reserve and disk.free()[0] < count + reserve or not act():
        from firmware.show import room

        try:
            room.make(disk, path, count, reserve, act)
        finally:
            drop("firmware.show.room")


def put_in_place(disk, path, data, old):
    """Write the next copy, move the present file to `old` (None: there is none), the next in its place.
    Errors: OSError(ENOSPC, text)."""
    roomy(disk, path, len(data), RESERVE, lambda: _swapped(disk, path, data, old))


def aside(disk, path):
    """A free name to set a damaged file aside under."""
    folder, _, name = path.rpartition("/")
    names = disk.list(folder)
    mark, n = ".bad", 1
    while name + mark in names:
        n += 1
        mark = ".%d.bad" % n
    return path + mark


def join(folder, name):
    """A path from a folder ("" is the root) and a name."""
    return folder + "/" + name if folder else name


def newer(obj):
    """True where the content is of a schema that this version does not know: to be read only."""
    return obj["schema"] > SCHEMA


def _bytes(disk, path):
    """(bytes, None), (None, None) where there is no such file, (None, why) where flash gives none."""
    try:
        return disk.read(path), None
    except OSError as error:
        if error.errno == ENOENT:
            return None, None
        return None, "cannot be read (error %d)" % error.errno


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


def delete(disk, path):
    """Delete a file; True where there was one. A full disk may refuse: the next boot tidies up."""
    try:
        disk.remove(path)
        return True
    except OSError as error:
        if error.errno not in (ENOENT, ENOSPC):
            raise
        return False
