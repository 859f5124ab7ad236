"""Repairs what file_store.py does not find as it should be: damage, half a save after a power cut, an older schema.
Loaded by it when that happens."""

from firmware.parts import once
from firmware.show import file_disk, file_format
from firmware.show.file_disk import ENOSPC, UNREAD
from firmware.show.file_format import STEPS, newer, seal
from firmware.show.file_write import put_in_place, with_room

_INSTEAD = {
    "+": "the newer copy beside it is used",
    "~": "the last good copy is used",
    "": "there is no good copy",
}


def load(disk, path, obj, why):
    """What file_store.load returns, for a file of which file_disk.read returned (obj, why)."""
    if obj is not None:
        return _other_schema(disk, path, obj)
    unread = why is not None and why[:7] == UNREAD[:7]  # what cannot be read now may be sound: nothing is moved
    if why and not unread:
        _move(disk, path, file_disk.free_bad_name(disk, path))
    obj, mark = _restore(disk, path, unread)
    if why is None and mark != "~":
        return obj, None  # no such file, or a save that needed only its last rename
    aside = "" if unread or why is None else "set aside, "
    return obj, "%s %s: %s%s" % (path, why or "is missing", aside, _INSTEAD[mark])


def recover(disk, folder, names):
    """Finish or roll back what a power cut left among the names of a folder -> list of faults."""
    faults = []
    for name in names:
        path = file_disk.join(folder, name[:-1])
        if name[-1] == "+" and name[:-1] in names:
            file_disk.drop(disk, path + "+")
        elif name[-1] in "+~" and name[:-1] not in names:
            fault = load(disk, path, *file_disk.read(disk, path))[1]
            if fault:
                faults.append(fault)
    return faults


def _restore(disk, path, stay):
    """Put the newest sound copy beside a missing file in its place -> (obj, "+" or "~", the mark of the copy); (None,
    "") without one. stay: it is only read."""
    for mark in "+~":
        obj, why = file_disk.read(disk, path + mark)
        if obj is not None and once("firmware.show.file_check", "check", path, obj, newer(obj))[1]:
            if not stay:
                _move(disk, path + mark, path)
            return obj, mark
        if why and mark == "+" and why[:7] != UNREAD[:7] and not stay:
            file_disk.drop(disk, path + mark)  # torn by the cut: never reported saved
    return None, ""


def _move(disk, old, new):
    """Rename. Where the disk cannot, because it is full, read only or failing, everything stays where it is."""
    try:
        with_room(disk, new, 0, 0, lambda: _rename(disk, old, new))
    except OSError:
        pass


def _rename(disk, old, new):
    """Rename -> False where the disk is full. Errors: OSError."""
    try:
        disk.rename(old, new)
        return True
    except OSError as error:
        if error.errno != ENOSPC:
            raise
        return False


def _other_schema(disk, path, obj):
    """(obj, fault) of a file of another schema. An older one is brought to the present schema, and the original stays
    beside it; a newer one stays as it is."""
    schema = obj["schema"]
    if newer(obj):
        once("firmware.show.file_check", "check", path, obj, True)
        return obj, "%s is of a newer version (schema %d, not %d): read only" % (path, schema, file_format.SCHEMA)
    for n in range(schema, file_format.SCHEMA):
        if n not in STEPS:
            return None, "%s is of schema %d, which this version cannot read" % (path, schema)
        obj = STEPS[n](path, obj)
        obj["schema"] = n + 1
    try:
        put_in_place(disk, path, seal(obj, file_format.SCHEMA), "%s.v%d" % (path, schema))
    except OSError:
        pass  # without room it is brought up to date in memory only
    return obj, None
