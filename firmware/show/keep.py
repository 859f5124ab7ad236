"""The safe file layer: every JSON file that must outlive a power cut is saved and loaded here.

Called by the shelf, the show and the kit page. A file is one sealed JSON object: canon.py says how.

Beside a file NAME there may lie, in the same folder:
    NAME+      the next copy, being written; a power cut can leave it, whole or torn
    NAME~      the last good copy: what NAME held before the last save. Gives way when space is short
    NAME.v1    what NAME held before it was brought from schema 1 to a later one (v2: from schema 2, ...)
    NAME.bad   a damaged copy, set aside to be looked at; NAME.2.bad is the second

A save writes NAME+ and syncs it, renames NAME to NAME~, then NAME+ to NAME. Each step is whole or not there,
and after a cut between any two of them `load` and `recover` find either the old content or the new.
"""

from errno import ENOENT

from firmware.show.canon import seal, unseal

SCHEMA = 1
STEPS = {}  # STEPS[n](path, obj) -> obj brings a file from schema n to n + 1; the first schema is 1
TRASH = "trash"  # the folder where deleted shows wait
EROFS, ENOSPC = 30, 28  # MicroPython's errno module lacks these two
RESERVE = 16384  # bytes left free: a littlefs that is full to the brim cannot even rename or delete

_INSTEAD = {
    "+": "set aside, the newer copy beside it is used",
    "~": "set aside, the last good copy is used",
    "": "set aside, there is no good copy",
}


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
    _put_in_place(disk, path, data, _aside(disk, path) if why else old)


def load(disk, path):
    """(obj, fault): the content as a dict with its `schema`, None where there is no such file; and a short
    sentence where it was damaged: the file, what was wrong, what is used instead (None: all is well).

    Finishes a save that a power cut interrupted. Sets a damaged file aside, the last good copy takes its
    place.
    """
    obj, why = read(disk, path)
    if obj is not None:
        return (obj, None) if obj["schema"] == SCHEMA else _other_schema(disk, path, obj)
    if why:
        _moved(disk, path, _aside(disk, path))
    obj, mark = _restore(disk, path)
    if why is None and mark != "~":
        return obj, None  # no such file, or a save that needed only its last rename
    return obj, "%s %s: %s" % (path, why or "is missing", _INSTEAD[mark])


def read(disk, path):
    """(obj, why): the content, or None and what is wrong with it (None where there is no such file).
    Changes nothing on the disk."""
    data, why = _bytes(disk, path)
    return (None, why) if data is None else unseal(data)


def remove(disk, path):
    """Delete a file, with its old copy: the file itself goes last. No error where it is gone already."""
    for mark in ("+", "~", ""):
        _remove(disk, path + mark)


def recover(disk, folder):
    """Finish or roll back what a power cut left in a folder, before it is listed. Returns the faults."""
    names = disk.list(folder)
    faults = []
    for name in names:
        path = join(folder, name[:-1])
        if name[-1] == "+" and name[:-1] in names:
            _remove(disk, path + "+")
        elif name[-1] in "+~" and name[:-1] not in names:
            fault = load(disk, path)[1]
            if fault:
                faults.append(fault)
    return faults


def copy(disk, path, new):
    """Copy a file's bytes. Errors: OSError(ENOSPC, text): no copy was made."""
    put(disk, new, disk.read(path), RESERVE)


def put(disk, path, data, reserve=0):
    """Write bytes as they are, for files that look after themselves. reserve: bytes to leave free.
    Errors: OSError(ENOSPC, text)."""
    if not _wrote(disk, path, data, reserve):
        for _gone in spare(disk):
            if _wrote(disk, path, data, reserve):
                return
        raise _no_room(disk, path, len(data))


def need(disk, path, count):
    """See that `count` bytes can be written and the reserve stays free. path: what for.
    Errors: OSError(ENOSPC, text)."""
    given_up = spare(disk)
    while disk.free()[0] < count + RESERVE:
        if next(given_up, None) is None:
            raise _no_room(disk, path, count)


def spare(disk):
    """Make room: give up deleted shows, then last good copies, a file at a time. Yields after each."""
    for name in disk.list(TRASH):
        path = TRASH + "/" + name
        if name.endswith("/") and not name.endswith("+/"):
            path = path[:-1] + "+/"  # it can no longer come back whole
            disk.rename(TRASH + "/" + name[:-1], path[:-1])
        while shrink(disk, path):
            yield path
    yield from _old_copies(disk, "")


def _old_copies(disk, folder):
    """Give up the last good copies in a folder and those in it; one whose file is missing is no spare."""
    names = disk.list(folder)
    for name in names:
        path = join(folder, name)
        if name[-1] == "/":
            yield from _old_copies(disk, path[:-1])
        elif name[-1] == "~" and name[:-1] in names and _remove(disk, path):
            yield path


def shrink(disk, path):
    """Delete one file or empty folder of what lies at a path (folders end in '/'). False: nothing is left."""
    if path[-1] != "/":
        return _remove(disk, path)
    for name in disk.list(path[:-1]):
        if shrink(disk, path + name):
            return True
    return _remove(disk, path[:-1])


def walk(disk, folder=""):
    """The paths of all files in a folder and in the folders in it."""
    for name in disk.list(folder):
        path = join(folder, name)
        if name[-1] != "/":
            yield path
        else:
            yield from walk(disk, path[:-1])


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


def _put_in_place(disk, path, data, old):
    """Write the next copy, move the present file to `old` (None: there is none), the next in its place."""
    if not _swapped(disk, path, data, old):
        for _gone in spare(disk):
            if _swapped(disk, path, data, old):
                return
        raise _no_room(disk, path, len(data))


def _no_room(disk, path, count):
    text = "no room for %s: it needs %d bytes, %d are free. Delete looks, captures or a show"
    return OSError(ENOSPC, text % (path, count, max(0, disk.free()[0] - RESERVE)))


def _wrote(disk, path, data, reserve):
    if reserve and disk.free()[0] < len(data) + reserve:
        return False
    try:
        disk.write(path, data)
        return True
    except OSError as error:
        if error.errno != ENOSPC:
            raise
    _remove(disk, path)
    return False


def _swapped(disk, path, data, old):
    """False, and all is as before, where there is no room."""
    if disk.free()[0] < len(data) + RESERVE:
        return False
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
    _remove(disk, path + "+")
    return False


def _restore(disk, path):
    """Put the newest sound copy that lies beside a missing file in its place: (obj, mark), (None, "")."""
    for mark in "+~":
        obj, why = read(disk, path + mark)
        if obj is not None:
            _moved(disk, path + mark, path)
            return obj, mark
        if why and mark == "+":
            _remove(disk, path + mark)  # torn by the cut: never reported saved
    return None, ""


def _remove(disk, path):
    """Delete a file; True where there was one. A full disk may refuse: the next boot tidies up."""
    try:
        disk.remove(path)
        return True
    except OSError as error:
        if error.errno not in (ENOENT, ENOSPC):
            raise
        return False


def _aside(disk, path):
    """A free name to set a damaged file aside under."""
    folder, _, name = path.rpartition("/")
    names = disk.list(folder)
    mark, n = ".bad", 1
    while name + mark in names:
        n += 1
        mark = ".%d.bad" % n
    return path + mark


def _moved(disk, old, new):
    """Rename in recovery; where the disk cannot, being full or open to read only, all stays where it is."""
    if not _renamed(disk, old, new):
        for _gone in spare(disk):
            if _renamed(disk, old, new):
                return


def _renamed(disk, old, new):
    try:
        disk.rename(old, new)
        return True
    except OSError as error:
        if error.errno not in (EROFS, ENOSPC):
            raise
        return error.errno == EROFS


def _other_schema(disk, path, obj):
    """(obj, fault): an older file brought to the present schema, the original kept; a newer one as it is."""
    schema = obj["schema"]
    if newer(obj):
        return obj, "%s is of a newer version (schema %d, not %d): read only" % (path, schema, SCHEMA)
    for n in range(schema, SCHEMA):
        if n not in STEPS:
            return None, "%s is of schema %d, which this version cannot read" % (path, schema)
        obj = STEPS[n](path, obj)
        obj["schema"] = n + 1
    try:
        _put_in_place(disk, path, seal(obj, SCHEMA), "%s.v%d" % (path, schema))
    except OSError as error:
        if error.errno not in (ENOSPC, EROFS):
            raise  # without room it is brought up to date in memory only
    return obj, None
