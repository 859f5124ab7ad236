"""Looks of before the log, in a file each: reads them, and takes them into the log one by one. Loaded by looks.py and
looks_list.py where a show has any.

    order.json      {"looks": [[number, name], ...]}
    looks/N.json    {"name", "fade_ms", "curve", "lights": [[uid, light ...], ...], "raw"}; "curve" only where it is the
                    S (1), "raw" only where there are raw slots

The host speaks the same form. In the log, order.json counts as what was there first: a record of a number there is
newer than the file of that number. A file is deleted when its record reads back as it was written.
"""

from firmware.show import file_disk, file_format, file_store, look_pack, look_record, looks_append
from firmware.show.look_head import LOOK
from firmware.show.look_record import HEAD_SIZE, OLDER

_NUMBER_MOST = 65535


def find(looks, names):
    """(order, found) of the older files, as looks_list.load has them: numbers, also of looks that are in the log by
    now, and {number: (place, name, bytes)}. names: of the folder looks/."""
    there = {_number(name) for name in names if name.endswith(".json") and _number(name)}
    order = _load(looks, _order_path(looks))
    order = order["looks"] if order else []
    found = {number: (OLDER, name, 0) for number, name in order if number in there}
    numbers = [number for number, _name in order]
    for number in sorted(there.difference(numbers)):
        look = _load(looks, _path(looks, number))
        if look:
            numbers.append(number)
            found[number] = OLDER, look["name"], 0
    looks.highest = max([looks.highest] + numbers)
    return numbers, found


def record(looks, at):
    """What looks.Looks.record returns for the look at a place in the order, which has a file of its own."""
    look = _load(looks, _path(looks, looks.ids[at]))
    if look is None:
        looks_append.leave_out(looks, at)
        return None
    made = _make(looks, at, look)
    return look_record.fields(made), made[HEAD_SIZE:HEAD_SIZE + look_record.fields(made)[look_record.H_LENGTH]]


def step(looks):
    """Take one look into the log, or delete one file that is no longer needed -> False: nothing is left to do, or there
    is no room for it."""
    try:
        for at in range(len(looks.ids)):
            if looks.places[at] == OLDER and _move(looks, at):
                return True
        if OLDER not in list(looks.places) and _tidy(looks):
            return True
    except OSError as error:
        if error.errno not in (file_disk.ENOSPC, file_disk.EROFS):
            raise
    looks.older = False
    return False


def drop(looks, number):
    """Delete the file of a look that is in the log now, or deleted, and its copies."""
    start = "%d.json" % number
    for name in looks.disk.list(looks.folder):
        if name.startswith(start) and not name.endswith(".bad") and name != start:
            file_disk.delete(looks.disk, looks.folder + "/" + name)
    file_disk.delete(looks.disk, looks.folder + "/" + start)


def _move(looks, at):
    """Take one look into the log -> False: its file is of a newer version, and stays."""
    number = looks.ids[at]
    look = _load(looks, _path(looks, number))
    if look is None:
        record(looks, at)
        return True
    if file_format.newer(look):
        return False
    made = _make(looks, at, look)
    place = looks_append.append(looks, made, look["name"])
    if look_record.read(looks.disk, *looks.where(place)) is None:
        raise OSError(file_disk.ENOSPC, "flash does not keep what is written")
    looks.live += len(made)
    looks.places[at] = place
    drop(looks, number)
    return True


def _tidy(looks):
    """Delete one file that the log has replaced -> False: there is none left."""
    if looks.ordered < 0 and not looks_append.put_order(looks, looks.ids):
        return False
    for name in looks.disk.list(looks.folder):
        if _number(name) and not name.endswith(".bad"):
            drop(looks, _number(name))
            return True
    file_store.remove(looks.disk, _order_path(looks))
    return False


def _make(looks, at, look):
    """The record of a look of a file."""
    lights = {row[0]: row[1:] for row in look["lights"]}
    if "raw" in look:
        lights[0] = look["raw"]
    fade = look["fade_ms"] + (look_record.SOFT if look.get("curve") else 0)
    return look_pack.record(LOOK, looks.ids[at], looks.names()[at], look_pack.pack(lights), fade)


def _load(looks, path):
    obj, fault = file_store.load(looks.disk, path)
    if fault and fault not in looks.faults:
        looks.faults.append(fault)
    return obj


def _number(name):
    """N of a name N.json, also with a mark behind it; else 0."""
    number = name.partition(".json")[0]
    return int(number) if ".json" in name and number.isdigit() and int(number) <= _NUMBER_MOST else 0


def _path(looks, number):
    return "%s/%d.json" % (looks.folder, number)


def _order_path(looks):
    return looks.folder[:-len("looks")] + "order.json"
