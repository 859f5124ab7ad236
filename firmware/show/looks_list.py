"""Finds the looks of a show on flash when it is opened: reads the heads of all records. Loaded by looks.Looks for that.
"""

import struct
from array import array
from binascii import crc32

from firmware.parts import once
from firmware.show import file_disk
from firmware.show.look_head import (
    AT_END,
    H_KIND,
    H_NAME_CHECK,
    H_NUMBER,
    H_PLACE,
    LOOK,
    PART_BYTES,
    PART_HEAD,
    PARTS,
    VERSION,
)
from firmware.show.look_pack import stored_size
from firmware.show.look_record import H_LENGTH, H_NAME, HEAD_SIZE, PART_WORDS, fields, read

_NAME_ROOM = 96  # bytes of the longest name: 24 letters


def load(looks):
    """Read the names from flash. Where flash does not give them, nothing is changed there either."""
    try:
        _load(looks)
    except OSError as error:
        looks.take((), (), ())
        _lock(looks, "The looks of %s cannot be read (error %d)" % (looks.folder[:-6], error.errno))


def _load(looks):
    names = file_disk.names(looks.disk, looks.folder)
    parts = [int(name[:-4]) for name in names if name.endswith(".log") and name[:-4].isdigit()]
    looks.parts = array("H", sorted(parts))
    looks.total = looks.live = looks.end = looks.spoilt = looks.highest = 0
    looks.ordered, looks.locked, looks.older = -1, "", False
    order, found = [], {}  # numbers, also of looks that are still to come; number: (place, name, bytes)
    if "order.json" in file_disk.names(looks.disk, looks.folder[:-6]) or any(name.endswith(".json") for name in names):
        looks.older = True
        order, found = once("firmware.show.looks_older", "find", looks, names)
    if len(looks.parts) > PARTS:
        _lock(looks, "%s has more parts than %d" % (looks.folder, PARTS))
    for at, part in enumerate(looks.parts):
        if not looks.locked:
            _read_part(looks, at, looks.path(part), order, found)
    order = [] if looks.locked else [number for number in order if number in found]
    looks.highest = max([looks.highest] + order)
    looks.live = sum([found[number][2] for number in order])
    looks.take(order, [found[number][1] for number in order], [found[number][0] for number in order])


def records(looks, path, tell=None):
    """(offset, head, name) of the sound records of a part, in order. tell(offset): what lies there is damaged. A torn
    end, which only a save that was cut off can leave, is left out without a word."""
    size, at, told = looks.disk.length(path), PART_HEAD, False
    file, buffer = looks.disk.reader(path), bytearray(HEAD_SIZE + _NAME_ROOM)
    try:
        while size - at >= HEAD_SIZE:
            file.seek(at)
            file.readinto(buffer)
            head = fields(buffer)
            name = bytes(buffer[HEAD_SIZE:HEAD_SIZE + head[H_NAME]]) if head else b""
            if head and at + HEAD_SIZE + head[H_LENGTH] > size:
                return
            if head and crc32(name) & 255 == head[H_NAME_CHECK]:
                yield at, head, name
                at, told = at + stored_size(head), False
                continue
            if tell and not told:
                tell(at)
            at, told = at + (stored_size(head) if head else 4), not head
    finally:
        file.close()


def _read_part(looks, at, path, order, found):
    """Let the records of one part have their effect on the order and on what was found."""
    size = looks.disk.length(path)
    looks.total += size
    looks.end = PART_BYTES
    if size < PART_HEAD:
        return  # a cut came before its first record

    def tell(offset):
        looks.spoilt |= 1 << at
        _say(looks, "%s: a record at byte %d is damaged and left out" % (path, offset))

    version = _version(looks, path)
    if version is None:
        tell(0)
    elif version > VERSION:
        _lock(looks, "%s is of a newer version (%d, not %d): its looks can be neither read nor changed"
              % (path, version, VERSION))
        return
    end = PART_HEAD
    for offset, head, name in records(looks, path, tell):
        end = offset + stored_size(head)
        if head[H_KIND] == LOOK:
            _look(order, found, head, name, at * PART_WORDS + offset // 4)
        else:
            _order(looks, at, path, offset, order, found, tell)
        looks.highest = max(looks.highest, head[H_NUMBER])
    looks.end = size if end == size and version else PART_BYTES


def _look(order, found, head, name, place):
    number = head[H_NUMBER]
    if number not in order:
        order.insert(len(order) if head[H_PLACE] == AT_END else head[H_PLACE], number)
    found[number] = place, str(name, "utf-8"), stored_size(head)


def _order(looks, at, path, offset, order, found, tell):
    record = read(looks.disk, path, offset)
    if record is None:
        tell(offset)
        return
    order[:] = list(array("H", record[1]))
    looks.ordered = at
    for number in [number for number in found if number not in order]:
        del found[number]


def _version(looks, path):
    """The version of a part, or None: its head is damaged."""
    head = bytearray(PART_HEAD)
    looks.disk.read_part(path, 0, head)
    mark, version, crc = struct.unpack("<2sHI", head)
    return version if mark == b"HL" and crc == crc32(memoryview(head)[:4]) else None


def _lock(looks, why):
    looks.locked = why
    _say(looks, why)


def _say(looks, fault):
    if fault not in looks.faults:  # a show may be read again
        looks.faults.append(fault)
