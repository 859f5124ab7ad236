"""The looks of a show as the host speaks of them, a JSON file each, and as the device keeps them, in a log: from one
form to the other, by the firmware's own code. For backup, restore and check; in the browser too (sim/web/device.py).
"""

from firmware.show import file_format, look_record
from firmware.show.looks import Looks
from host import Refused
from sim.disk import MemoryDisk

_ROOMY = 16 << 20  # bytes: what is converted here need not fit a board


def as_json(files):
    """({path: bytes}, faults in words): the files of a device, of several shows or of one show's folder, with
    looks/N.json and order.json in place of the logs. A log of a newer version stays as it is, and is among the
    faults."""
    out, faults = dict(files), []
    for folder in _folders(files, ".log"):
        looks = _open(files, folder, faults)
        if looks.locked:
            continue
        out = {path: data for path, data in out.items() if not _of_looks(path, folder)}
        out.update(_written(looks, folder))
    return out, faults


def as_log(files):
    """{path: bytes} with logs in place of looks/N.json and order.json. Errors: Refused: a look cannot be read."""
    out = dict(files)
    for folder in _folders(files, ".json"):
        faults = []
        looks = _open(files, folder, faults)
        while looks.prove():
            pass
        if faults:
            raise Refused("\n".join(faults))
        out = {path: data for path, data in out.items() if not _of_looks(path, folder)}
        there = looks.disk.files
        out.update({path: data for path, data in there.items() if _of_looks(path, folder) and path[-1] not in "~+"})
    return out


def is_log(path):
    """True for a part of a log of looks."""
    parts = path.split("/")
    return len(parts) > 1 and parts[-2] == "looks" and parts[-1].endswith(".log")


def _folders(files, end):
    """The shows' folders whose looks/ has files with such names; "" where the files are those of one show."""
    found = set()
    for path in files:
        parts = path.split("/")
        if len(parts) > 1 and parts[-2] == "looks" and path.endswith(end):
            found.add("/".join(parts[:-2]))
    return sorted(found)


def _of_looks(path, folder):
    """True for what a show keeps its looks in, beside what was set aside."""
    start = folder + "/" if folder else ""
    return path == start + "order.json" or path.startswith(start + "looks/") and not path.endswith(".bad")


def _open(files, folder, faults):
    """The looks of one show, on a disk of their own."""
    disk = MemoryDisk({path: data for path, data in files.items() if _of_looks(path, folder)}, _ROOMY)
    looks = Looks(disk, folder, faults)
    if not folder:
        looks.folder = "looks"
    looks.load()
    return looks


def _written(looks, folder):
    """The JSON files of looks: {path: bytes}. One that is damaged is left out, and is among the faults."""
    start = folder + "/" if folder else ""
    out = {}
    for number, name in zip(list(looks.ids), looks.names(), strict=True):
        found = looks.record(list(looks.ids).index(number))
        if found is None:
            continue
        head, content = found
        lights = look_record.lights(content, head[look_record.H_NAME])
        rows = [[uid] + list(lights[uid]) for uid in sorted(lights) if uid]
        fade = head[look_record.H_FADE]
        look = {"name": name, "fade_ms": fade & look_record.SOFT - 1, "lights": rows}
        if fade & look_record.SOFT:
            look["curve"] = 1
        if 0 in lights:
            look["raw"] = lights[0]
        out[f"{start}looks/{number}.json"] = bytes(file_format.seal(look, file_format.SCHEMA))
    if out:
        order = {"looks": list(zip(list(looks.ids), looks.names(), strict=True))}
        out[start + "order.json"] = bytes(file_format.seal(order, file_format.SCHEMA))
    return out

