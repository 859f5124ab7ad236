"""Brings a stage back to what was on at the last power-down: reads what state_write.py wrote. Loaded by the app, once a
start."""

import struct
from binascii import crc32

from firmware.show import file_disk
from firmware.stage.state_format import (
    BLACK,
    FOLDER,
    H_BASE,
    H_COUNT,
    H_FLAGS,
    H_LOOK,
    H_MASTER,
    H_NUMBER,
    H_SHOW,
    H_TIME,
    HEAD,
    HELD,
    LIGHT,
    MARK,
    VERSION,
    crc_of,
)

_HEAD_SIZE = struct.calcsize(HEAD)
_LIGHT_SIZE = struct.calcsize(LIGHT)


def read(writer, now):
    """Bring the stage of a StateWriter back to what was on at the last power-down. False: nothing was kept for this
    show."""
    base = _newest(writer, "base", 0)
    if base is None:
        return False
    head = struct.unpack_from(HEAD, base)
    writer.base = head[H_NUMBER]
    writer.base_crc = crc_of(base)
    step = _newest(writer, "step", writer.base_crc)
    last = head if step is None else struct.unpack_from(HEAD, step)
    writer.number = 0 if step is None else last[H_NUMBER]
    ways = dict(_ways(base, last[H_TIME] - head[H_TIME]))
    changed = {} if step is None else dict(_ways(step, 0))
    _raw(writer.stage, base, ways.pop(0))
    changed.pop(0, None)
    ways.update(changed)
    writer.moving = _put(writer.stage, now, last, ways)
    writer.seen = writer.rest()
    # How far a fade is counts in the time of the stage before: then the next write is a base.
    writer.since = None if writer.moving else set(changed)
    return True


def _newest(writer, name, base_crc):
    """The newest sound record of this show and of that base: bytes, None without one."""
    best, most = None, -1
    for n in "01":
        data = _record(writer, "%s/%s%s" % (FOLDER, name, n))
        if data:
            head = struct.unpack_from(HEAD, data)
            if head[H_SHOW] == writer.key and head[H_BASE] == base_crc and head[H_NUMBER] > most:
                best, most = data, head[H_NUMBER]
    return best


def _record(writer, path):
    """A sound record, or None; damage goes to the faults. An empty file: power was cut in its first write."""
    try:
        data = writer.disk.read(path)
    except OSError as error:
        if error.errno != file_disk.ENOENT:
            writer.faults.append("%s cannot be read (error %d)" % (path, error.errno))
        return None
    if data and not _sound(data):
        writer.faults.append("%s is damaged: the state before it is used" % path)
        return None
    return data


def _sound(data):
    if len(data) < _HEAD_SIZE + 4 or data[:2] != MARK or data[2] != VERSION:
        return False
    return crc_of(data) == crc32(memoryview(data)[:-4])


def _put(stage, now, head, ways):
    """Put the stage where it was. True: something is on its way."""
    moving = [way[2] for way in ways.values() if way[2] < way[3]]
    own = max(moving + [0])
    stage.set_time(now, own)
    for f in stage.show.rig.fixtures:
        if f.uid in ways:
            a, b, done, length, curve = ways[f.uid]
            names = f.personality.extras()
            if done >= length:
                a, done, length = b, own, 0
            stage.put(f, _named(a, names), _named(b, names), own - done, length, curve)
    stage.master_units = head[H_MASTER]
    stage.blackout = bool(head[H_FLAGS] & BLACK)
    stage.pause(bool(head[H_FLAGS] & HELD))
    stage.look_number = head[H_LOOK]
    stage.touched.clear()
    return bool(moving)


def _ways(data, late):
    """(uid, (from, to, ms done, length, curve)) of each fixture of a record, `late` ms on; extras by place. At the end
    (0, byte after them)."""
    at = _HEAD_SIZE
    for _ in range(struct.unpack_from(HEAD, data)[H_COUNT]):
        uid, moving = struct.unpack_from("<HB", data, at)
        a, at = _light(data, at + 3)
        if not moving:
            yield uid, (a, a, 0, 0, 0)
            continue
        b, at = _light(data, at)
        done, length, curve = struct.unpack_from("<iIB", data, at)
        at += 9
        yield uid, (a, b, done + late, length, curve)
    yield 0, at


def _raw(stage, data, at):
    """Bring the raw slots that lie in a base from byte `at` on."""
    runs = []
    while at < len(data) - 4:
        first, count = struct.unpack_from("<HB", data, at)
        runs.append([first] + list(data[at + 3:at + 3 + count]))
        at += 3 + count
    if runs:
        stage.go_raw(runs, 0)


def _light(data, at):
    """(light, extras by place) that begin at a byte, and where the next thing begins."""
    light = list(struct.unpack_from(LIGHT, data, at))
    at += _LIGHT_SIZE
    (count,) = struct.unpack_from("<H", data, at)
    at += 2
    extras = {}
    for _ in range(count):
        place, value = struct.unpack_from("<HH", data, at)
        extras[place] = value
        at += 4
    return (light, extras), at


def _named(end, names):
    """A light with its extras by name; those of channels that are gone are left out."""
    return end[0], {names[place]: value for place, value in end[1].items() if place < len(names)}
