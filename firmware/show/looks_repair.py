"""Finds the last good copy of a look whose newest record is damaged. Loaded by looks.Looks when that happens."""

from firmware.show import look_record, looks_append
from firmware.show.file_disk import ENOSPC, EROFS
from firmware.show.look_head import H_KIND, H_NUMBER, LOOK
from firmware.show.look_pack import record as make
from firmware.show.look_record import H_FADE, H_NAME, PART_WORDS
from firmware.show.looks_list import records


def record(looks, at):
    """What looks.Looks.record returns for a look that is damaged where it lies."""
    number = looks.ids[at]
    name = looks.name_of(number)
    part = looks.places[at] // PART_WORDS
    found = _older(looks, number, looks.places[at])
    looks.spoilt |= 1 << part
    looks.faults.append("%s: %s is damaged (wrong CRC): %s" % (
        looks.path(looks.parts[part]), name, "its last good copy is used" if found else "there is no good copy"))
    try:
        _mend(looks, at, name, found)
    except OSError as error:
        if error.errno not in (ENOSPC, EROFS):
            raise
    return found


def _older(looks, number, place):
    """The newest sound record of a number before a place, or None."""
    best = None
    for at, part in enumerate(looks.parts):
        path = looks.path(part)
        for offset, head, _name in records(looks, path):
            if head[H_KIND] == LOOK and head[H_NUMBER] == number and at * PART_WORDS + offset // 4 < place:
                best = look_record.read(looks.disk, path, offset) or best
    return best


def _mend(looks, at, name, found):
    """Write the good copy once more, as the newest; a look without one goes out of the order."""
    if found:
        head, content = found
        data = make(LOOK, looks.ids[at], name, content[head[H_NAME]:], head[H_FADE])
        looks.places[at] = looks_append.append(looks, data, name)
        return
    looks_append.leave_out(looks, at)
    looks_append.put_order(looks, looks.ids)
