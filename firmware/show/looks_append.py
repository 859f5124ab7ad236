"""Adds records to the log of looks. Loaded by what changes the looks."""

from firmware.show import file_write, look_pack
from firmware.show.file_disk import BLOCK, ENOSPC, EROFS, RESERVE, delete
from firmware.show.look_head import ORDER, PART_BYTES, PART_HEAD, PARTS
from firmware.show.look_record import PART_WORDS


def append(looks, data, what, reserve=RESERVE):
    """Add records (bytes) to the log -> the place of the first. what: their name, for the message. Where they come to
    lie in blocks that the log has already, no room is asked for. Errors: OSError(ENOSPC, EROFS): nothing changed."""
    if looks.locked:
        raise OSError(EROFS, looks.locked)
    begins = _begins(looks, data)
    if begins and len(looks.parts) == PARTS:
        raise OSError(ENOSPC, "no room for %s: the log of the looks is full. Delete looks" % what)
    more = BLOCK
    if not begins:
        more = -(-(looks.end + len(data)) // BLOCK) * BLOCK - -(-looks.end // BLOCK) * BLOCK
    file_write.with_room(looks.disk, what, more, reserve if more else 0, lambda: put(looks, data))
    return newest(looks, data)


def put(looks, data):
    """Add records to the log -> False: the disk is full, and nothing changed. There may be one part more."""
    disk, begins = looks.disk, _begins(looks, data)
    if begins:
        disk.mkdir(looks.folder)
    path = looks.path(_next(looks) if begins else looks.parts[-1])
    try:
        if begins:
            disk.write(path, look_pack.part_head() + data)
        else:
            disk.append(path, data)
    except OSError as error:
        if error.errno != ENOSPC:
            raise
        if begins:
            delete(disk, path)
        elif disk.length(path) != looks.end:
            looks.end = PART_BYTES  # half of it is there, as a torn end
        return False
    if begins:
        looks.parts.append(_next(looks))
        looks.end = PART_HEAD
        looks.total += PART_HEAD
    looks.end += len(data)
    looks.total += len(data)
    return True


def newest(looks, data):
    """The place of the records that were added last."""
    return (len(looks.parts) - 1) * PART_WORDS + (looks.end - len(data)) // 4


def put_order(looks, ids):
    """Write the order down -> False: the disk is full. Errors: OSError(EROFS)."""
    if looks.locked:
        raise OSError(EROFS, looks.locked)
    if not put(looks, order_record(looks, ids)):
        return False
    looks.ordered = len(looks.parts) - 1
    return True


def leave_out(looks, at):
    """Let go of the look at a place in the order, which nothing can be read of; the log is as it was."""
    ids, names, places = list(looks.ids), looks.names(), list(looks.places)
    del ids[at], names[at], places[at]
    looks.take(ids, names, places)


def order_record(looks, ids):
    """The record of an order. ids: array("H")."""
    return look_pack.record(ORDER, looks.highest, "", bytes(ids))


def _begins(looks, data):
    return not looks.parts or looks.end + len(data) > PART_BYTES


def _next(looks):
    return looks.parts[-1] + 1 if looks.parts else 0
