"""The captures on the device: stretches of a feed, in the folder captures/. Listed and changed by the pages.

    captures/N.cap    the frames (wire/CAPTURES.md), written while they come in
    captures/N.json   name; start and end (ms, as trimmed; end 0: of the whole); fade_in and fade_out (ms); loop (0 or
                      1); ms (length, 0 where it is not known). A capture that a pulled plug cut short has no such
                      file, and its number as its name
"""

from firmware.show import file_store, file_write

FOLDER = "captures"
NAME_MOST = 24
_DELETED = ".gone"  # behind the name of a deleted capture's file
_NEW = {"start": 0, "end": 0, "fade_in": 0, "fade_out": 0, "loop": 0, "ms": 0}


def path(number):
    """The file of a capture's frames."""
    return "%s/%d.cap" % (FOLDER, number)


def numbers(disk):
    """The numbers of the captures on the disk, the oldest first."""
    found = [name[:-4] for name in disk.list(FOLDER) if name.endswith(".cap")]
    return sorted([int(name) for name in found if name.isdigit()])


def new(disk):
    """A number for the next capture. Makes the folder, and frees the room of a deleted capture."""
    file_write.make_folder(disk, FOLDER)
    purge(disk)
    return max(numbers(disk) + [0]) + 1


def about(disk, number):
    """(dict of the keys above, with defaults for what is not saved; fault in words, or None)."""
    saved, fault = file_store.load(disk, _about(number))
    out = dict(_NEW)
    out["name"] = "Capture %d" % number
    for key in out:
        if saved and key in saved:
            out[key] = saved[key]
    return out, fault


def save(disk, number, data):
    """Save what `about` gives. Errors: OSError(ENOSPC): nothing has changed."""
    file_store.save(disk, _about(number), data)


def rename(disk, number, name):
    """Give a capture another name of 1 to 24 letters. Errors: ValueError: another length; OSError(ENOSPC)."""
    name = name.strip()
    if not 1 <= len(name) <= NAME_MOST:
        raise ValueError("A capture's name has 1 to %d letters" % NAME_MOST)
    data = about(disk, number)[0]
    data["name"] = name
    save(disk, number, data)


def remove(disk, number):
    """Delete a capture. It can be put back until another is deleted or recorded."""
    purge(disk)
    disk.rename(path(number), path(number) + _DELETED)


def put_back(disk, number):
    """Undo the last removal. Errors: OSError(ENOENT): its room was needed."""
    disk.rename(path(number) + _DELETED, path(number))


def purge(disk):
    """Free the room of the capture that was deleted last."""
    for name in disk.list(FOLDER):
        if name.endswith(_DELETED):
            number = name[: -len(".cap" + _DELETED)]
            file_store.remove(disk, "%s/%s.json" % (FOLDER, number))
            disk.remove(FOLDER + "/" + name)


def _about(number):
    return "%s/%d.json" % (FOLDER, number)
