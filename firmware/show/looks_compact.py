"""Clears the log of looks of records that were replaced. Loaded by looks.Looks.prove for each step, and by
looks_store.py on a full disk.

What counts in the oldest part is copied to the newest, which puts the same look there once more; when nothing in the
oldest part counts any more, it is deleted. So a power cut after any step leaves a log that says the same, and no more
than one part's room is needed beside it.
"""

from firmware.show import file_disk, look_pack, look_record, looks_append
from firmware.show.file_disk import BLOCK
from firmware.show.look_head import PART_BYTES, PARTS
from firmware.show.look_record import OLDER, PART_WORDS

_MOST = 16384  # bytes of replaced records that are left alone,
_FULL = 158000  # and fewer where the log would come to more than this,
_LEAST = 8192  # but never fewer than this
_REST = 4096  # once it has begun, so many are left
_STEP = 4000  # bytes copied at once
_ROOM = 2  # blocks that must be free: as many as a step takes


def step(looks):
    """Make one step, which takes no longer than writing a flash block or two -> False: there is nothing to do, or no
    room for it."""
    slack = _REST if looks.clearing else max(_LEAST, min(_MOST, _FULL - looks.live))
    looks.clearing = not looks.locked and (bool(looks.spoilt) or looks.total - looks.live > slack)
    if not looks.clearing:
        return False
    try:
        looks.clearing = _advance(looks)
    except OSError as error:
        if error.errno not in (file_disk.ENOSPC, file_disk.EROFS):
            raise
        looks.clearing = False
    return looks.clearing


def whole(looks):
    """Clear all of the log, as far as there is room for it."""
    last = looks.parts[-1]
    try:
        while looks.parts[0] <= last and _advance(looks):
            pass
    except OSError as error:
        if error.errno != file_disk.ENOSPC:
            raise


def _advance(looks):
    """Copy looks from the oldest part, or delete it -> False: there is no room. Errors: OSError."""
    if looks.disk.free()[0] < _ROOM * BLOCK:
        return False
    if len(looks.parts) == 1:
        looks.end = PART_BYTES
    for at in range(len(looks.ids)):
        if looks.places[at] < PART_WORDS:
            return _copy(looks, at)
    if looks.ordered <= 0 and not (_has_room(looks) and looks_append.put_order(looks, looks.ids)):
        return False
    _delete(looks)
    return True


def _copy(looks, at):
    """Copy what counts, from the look at a place in the order on, a flash block at most."""
    data, moved = bytearray(), []
    while at < len(looks.ids):
        if looks.places[at] < PART_WORDS:
            record = _record(looks, at)
            if record is None:
                return True  # it was damaged, and is mended now, or gone
            if data and (len(data) + len(record) > _STEP or looks.end + len(data) + len(record) > PART_BYTES):
                break
            moved.append((at, len(data) // 4))
            data.extend(record)
        at += 1
    if not _has_room(looks) or not looks_append.put(looks, data):
        return False
    place = looks_append.newest(looks, data)
    if not _reads_back(looks, place, data):
        looks.locked = "%s cannot be written: the flash is worn out or faulty" % looks.path(looks.parts[-1])
        looks.faults.append(looks.locked)
        return False
    for at, words in moved:
        looks.places[at] = place + words
    return True


def _record(looks, at):
    """The bytes of a look's record, or None where they were damaged."""
    path, start = looks.path(looks.parts[0]), 4 * looks.places[at]
    found = look_record.read(looks.disk, path, start)
    if found is None:
        looks.record(at)  # names it
        return None
    record = bytearray(look_pack.stored_size(found[0]))
    looks.disk.read_part(path, start, record)
    return record


def _reads_back(looks, place, data):
    there = bytearray(len(data))
    looks.disk.read_part(looks.path(looks.parts[-1]), 4 * (place % PART_WORDS), there)
    return there == data


def _has_room(looks):
    """False where the newest part might be full, and one more would be too many."""
    return len(looks.parts) < PARTS or looks.end + _STEP < PART_BYTES


def _delete(looks):
    """Delete the oldest part; one with damage in it is set aside for a person to look at."""
    path = looks.path(looks.parts[0])
    size = looks.disk.length(path)
    if looks.spoilt & 1:
        looks.disk.rename(path, file_disk.free_bad_name(looks.disk, path))
    else:
        looks.disk.remove(path)
    looks.total -= size
    looks.spoilt >>= 1
    looks.ordered -= 1
    looks.parts = looks.parts[1:]
    for at in range(len(looks.places)):
        if looks.places[at] != OLDER:
            looks.places[at] -= PART_WORDS
