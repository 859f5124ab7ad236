"""What is kept on a disk, as items that must be there whole after a power cut, as before it or as after it."""

from firmware.show import captures, file_format, file_store, rig_file
from firmware.show.effect_fields import ON
from firmware.show.fault_log import FaultLog
from firmware.show.shelf import Shelf
from firmware.show.slate import Slate
from sim.disk import MemoryDisk

_SHOW = ("groups.json", "run.json", "effects.json", "feed.json", "readings.json")


def content(image):
    """({item: content}, [damage in words]) of an image (files, folders), read by the firmware from a copy of it."""
    disk = MemoryDisk()
    disk.files, disk.folders = dict(image[0]), set(image[1])
    shelf = Shelf(disk)
    out = {("device", path): _json(shelf, path) for path in ("kit.json", "shelf.json")}
    for number in captures.numbers(disk):
        out["capture", number] = disk.read(captures.path(number))
        out["about", number] = captures.about(disk, number)[0]
    for ident in shelf.idents():
        show = shelf._show(ident)
        show.looks.load()
        out[ident, "rig"] = packed(show.rig), show.name
        out[ident, "looks"] = looks(show)
        out[ident, "slate"] = _takes(show, shelf.faults)
        for name in _SHOW:
            out[ident, name] = _json(shelf, f"{show.folder}/{name}")
        out[ident, "effects.json"], out[ident, "effects on"] = effects(out[ident, "effects.json"])
    return out, list(shelf.faults)


def packed(rig):
    """A rig as bytes to compare."""
    return bytes(file_format.encode(rig_file.pack(rig)))


def looks(show):
    """[(name, fade in ms, lights)] of a show, in order."""
    return [(name, *_rows(show, name)) for name in show.looks.names()]


def effects(kept):
    """(the effects of a show, those that are on) of effects.json: one push saves a new effect, then that it is on, so
    that one with which the device cannot start is not put on at the next start."""
    found = kept["effects"] if kept else []
    return [effect[:ON] for effect in found], [effect[:ON] for effect in found if effect[ON]]


def logged(image):
    """What the log of faults says: list of words."""
    disk = MemoryDisk()
    disk.files, disk.folders = dict(image[0]), set(image[1])
    return [what for _at, what, _where in FaultLog(disk).entries()]


def torn(known, found):
    """The items of `found` that are so in none of the known contents: list of keys. A capture that is being recorded
    may end anywhere."""
    return [key for key in sorted(set(found).union(*known), key=str)
            if found.get(key) not in [content.get(key) for content in known]
            and not (key[0] == "capture" and key in found and known[-1].get(key, b"").startswith(found[key]))]


def _rows(show, name):
    try:
        lights, fade_ms = show.looks.recall(name)
    except ValueError as error:  # damage of before
        return 0, str(error)
    return fade_ms, sorted((uid, str(list(light))) for uid, light in lights.items())


def _takes(show, faults):
    slate = Slate(show)
    faults += slate.faults
    return [(entry[:15] + entry[17:], _lamps(slate, entry)) for entry in slate.entries() if entry]


def _lamps(slate, entry):
    try:
        return str(slate.lamps(entry))
    except ValueError as error:  # damage of before
        return str(error)


def _json(shelf, path):
    obj, fault = file_store.load(shelf.disk, path)
    if fault:
        shelf.faults.append(fault)
    return obj and {key: obj[key] for key in obj if key not in ("crc", "schema")}
