"""The safe file layer: every JSON file that must outlive a power cut is saved and loaded here.

Called by the shelf, the show and the settings pages. A file is one sealed JSON object (file_format.py). What is seldom
needed is in file_repair.py (damage, power cuts, older schemas) and file_room.py (a full disk), which are loaded when
they are called for.

Beside a file NAME the same folder may have:

    NAME+      the next copy, while it is written; a power cut can leave it there, whole or torn
    NAME~      the last good copy: what NAME held before the last save; deleted where room is short
    NAME.v1    what NAME held before it was brought from schema 1 to a later one (v2: from schema 2, ...)
    NAME.bad   a damaged copy, set aside for a person to look at; NAME.2.bad is the second

A save writes NAME+ and syncs it, renames NAME to NAME~, then NAME+ to NAME. Each step happens whole or not at all, and
after a cut between any two of them `load` and `recover` find either the old content or the new.
"""

from firmware.parts import once
from firmware.show import file_disk
from firmware.show.file_disk import EROFS, delete, free_bad_name, read, read_bytes
from firmware.show.file_format import SCHEMA, newer, seal, unseal
from firmware.show.file_write import put_in_place


def save(disk, path, obj):
    """Save a dict of plain JSON values: when this returns, it is on flash. Writes nothing where nothing has changed.

    `schema` is added where obj has none. Errors: ValueError for a value that a file cannot hold; OSError(ENOSPC, text),
    and everything is as it was; OSError(EROFS, text) for a file of a newer schema.
    """
    data = seal(obj, SCHEMA)
    old_data, why = read_bytes(disk, path)
    if old_data == data:
        return
    old_copy = None
    if old_data is not None:
        obj, why = unseal(old_data)
        if obj and newer(obj):
            raise OSError(EROFS, path + " was written by a newer version and is left as it is")
        old_data = obj = None
        old_copy = path + "~"
    if why:
        old_copy = free_bad_name(disk, path)
    put_in_place(disk, path, data, old_copy)


def load(disk, path):
    """Load a file -> (obj, fault). obj: its content as a dict with its `schema`, None where there is no such file.
    fault: None, or where it was damaged a short sentence: the file, what was wrong, what is used instead.

    Finishes a save that a power cut interrupted. Sets a damaged file aside, and the last good copy takes its place;
    what is wrong in a file whose checksum is right is left out (file_check.py). A file that flash does not give stays
    where it is. Brings an older schema to the present one.
    """
    obj, why = read(disk, path)
    if obj is not None and obj["schema"] == SCHEMA:
        obj, why = once("firmware.show.file_check", "mend", disk, path, obj)
        if obj is not None:
            return obj, why
    if obj is None and why is None and read_bytes(disk, path + "+") == read_bytes(disk, path + "~") == (None, None):
        return None, None
    return once("firmware.show.file_repair", "load", disk, path, obj, why)


def remove(disk, path):
    """Delete a file and its copies, the file itself last. No error where it is gone already."""
    for mark in ("+", "~", ""):
        delete(disk, path + mark)


def recover(disk, folder):
    """Finish or roll back what a power cut left in a folder, before the folder is listed -> list of faults."""
    try:
        names = file_disk.names(disk, folder)
    except OSError as error:
        return [error.args[-1]]
    for name in names:
        if name[-1] == "+" or name[-1] == "~" and name[:-1] not in names:
            return once("firmware.show.file_repair", "recover", disk, folder, names)
    return []
