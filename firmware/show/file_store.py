"""The safe file layer: every JSON file that must outlive a power cut is saved and loaded here.

Called by the shelf, the show and the settings page. A file is one sealed JSON object: file_format.py says how. What is
seldom needed lies in file_repair.py (damage, power cuts, older schemas) and file_room.py (a disk without room), which
are loaded when they are called for.

Beside a file NAME there may lie, in the same folder:
    NAME+      the next copy, being written; a power cut can leave it, whole or torn
    NAME~      the last good copy: what NAME held before the last save. Gives way when space is short
    NAME.v1    what NAME held before it was brought from schema 1 to a later one (v2: from schema 2, ...)
    NAME.bad   a damaged copy, set aside to be looked at; NAME.2.bad is the second

A save writes NAME+ and syncs it, renames NAME to NAME~, then NAME+ to NAME. Each step is whole or not there,
and after a cut between any two of them `load` and `recover` find either the old content or the new.
"""

from firmware.parts import once
from firmware.show.file_disk import EROFS, aside, delete, read, read_bytes
from firmware.show.file_format import SCHEMA, newer, seal, unseal
from firmware.show.file_write import put_in_place


def save(disk, path, obj):
    """Save a dict of plain JSON values: when this returns, it is on flash. Writes nothing if nothing changed.

    `schema` is added where obj has none. Errors: ValueError for a value that a file cannot hold;
    OSError(ENOSPC, text) and everything is as it was; OSError(EROFS, text) for a file of a newer schema.
    """
    data = seal(obj, SCHEMA)
    was, why = read_bytes(disk, path)
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
    if obj is None and why is None and read_bytes(disk, path + "+") == read_bytes(disk, path + "~") == (None, None):
        return None, None
    return once("firmware.show.file_repair", "load", disk, path, obj, why)


def remove(disk, path):
    """Delete a file, with its old copy: the file itself goes last. No error where it is gone already."""
    for mark in ("+", "~", ""):
        delete(disk, path + mark)


def recover(disk, folder):
    """Finish or roll back what a power cut left in a folder, before it is listed. Returns the faults."""
    names = disk.list(folder)
    for name in names:
        if name[-1] == "+" or name[-1] == "~" and name[:-1] not in names:
            return once("firmware.show.file_repair", "recover", disk, folder, names)
    return []
