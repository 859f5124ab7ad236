"""The captures on the device: stretches of a feed in the folder captures/. Listed and changed by the pages.

    captures/N.cap    the frames (wire/capture_format.py), written while they come in
    captures/N.json   what the user says of them: name, trimmed start and end (ms; end 0: the whole), fades in and out
                      (ms), loop (0 or 1), ms (length, 0 where it was not known). A capture that the plug cut short
                      has none: it goes by its number.
"""

from firmware.show import file_store

FOLDER = "captures"
NAME_MOST = 24
_GONE = ".gone"
_NEW = {"start": 0, "end": 0, "fade_in": 0, "fade_out": 0, "loop": 0, "ms": 0}


def path(number):
    """The file of a capture's frames."""
    return "%s/%d.cap" % (FOLDER, number)


def numbers(disk):
    """The captures there are, the oldest first."""
    found = [name[:-4] for name in disk.list(FOLDER) if name.endswith(".cap")]
    return sorted([int(name) for name in found if name.isdigit()])


def new(disk):
    """The number for the next capture; its folder is made, and what was deleted is gone for good."""
    disk.mkdir(FOLDER)
    purge(disk)
    return max(numbers(disk) + [0]) + 1


def about(disk, number):
    """(what is kept of a capture: dict of the keys above, fault or None)."""
    kept, fault = file_store.load(disk, _about(number))
    out = dict(_NEW)
    out["name"] = "Capture %d" % number
    for key in out:
        if kept and key in kept:
            out[key] = kept[key]
    return out, fault


def save(disk, number, data):
    """Keep what the user said. Errors: OSError(ENOSPC): all is as it was."""
    file_store.save(disk, _about(number), data)


def rename(disk, number, name):
    """Errors: ValueError: empty or too long; OSError(ENOSPC)."""
    name = name.strip()
    if not 1 <= len(name) <= NAME_MOST:
        raise ValueError("A capture's name has 1 to %d letters" % NAME_MOST)
    data = about(disk, number)[0]
    data["name"] = name
    save(disk, number, data)


def remove(disk, number):
    """Delete a capture. It can be put back until the next one is deleted or recorded."""
    purge(disk)
    disk.rename(path(number), path(number) + _GONE)


def put_back(disk, number):
    """Undo the last remove. Errors: OSError(ENOENT): its room was needed."""
    disk.rename(path(number) + _GONE, path(number))


def purge(disk):
    """Give the room of what was deleted back."""
    for name in disk.list(FOLDER):
        if name.endswith(_GONE):
            number = name[: -len(".cap" + _GONE)]
            file_store.remove(disk, "%s/%s.json" % (FOLDER, number))
            disk.remove(FOLDER + "/" + name)


def _about(number):
    return "%s/%d.json" % (FOLDER, number)
