"""Brings a stage back to what was on at the last power-down: reads what kept.py wrote. Loaded by it, once a start."""

import struct
from binascii import crc32

from firmware.show import keep
from firmware.stage.kept import BLACK, FOLDER, HEAD, HELD, LIGHT, MARK, VERSION, crc_of

_HEAD_SIZE = struct.calcsize(HEAD)
_LIGHT_SIZE = struct.calcsize(LIGHT)


def load(kept, now):
    """As Kept.load."""
    base = _newest(kept, "base", 0)
    if base is None:
        return False
    head = struct.unpack_from(HEAD, base)
    kept.base = head[5]
    kept.base_crc = crc_of(base)
    step = _newest(kept, "step", kept.base_crc)
    last = head if step is None else struct.unpack_from(HEAD, step)
    kept.number = 0 if step is None else last[5]
    ways = dict(_ways(base, last[6] - head[6]))
    changed = {} if step is None else dict(_ways(step, 0))
    _raw(kept.stage, base, ways.pop(0))
    changed.pop(0, None)
    ways.update(changed)
    kept.moving = _put(kept.stage, now, last, ways)
    kept.seen = kept.rest()
    # How far a fade is counts in the time of the stage before: then the next write is a base.
    kept.since = None if kept.moving else set(changed)
    return True


def _newest(kept, name, base_crc):
    """The newest sound record of this show and of that base: bytes, None without one."""
    best, most = None, -1
    for n in "01":
        data = _record(kept, "%s/%s%s" % (FOLDER, name, n))
        if data:
            head = struct.unpack_from(HEAD, data)
            if head[3] == kept.key and head[4] == base_crc and head[5] > most:
                best, most = data, head[5]
    return best


def _record(kept, path):
    """A sound record, or None; damage goes to the faults. An empty file: power was cut in its first write."""
    try:
        data = kept.disk.read(path)
    except OSError as error:
        if error.errno != keep.ENOENT:
            kept.faults.append("%s cannot be read (error %d)" % (path, error.errno))
        return None
    if data and not _sound(data):
        kept.faults.append("%s is damaged: the state before it is used" % path)
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
    stage.master_units = head[7]
    stage.blackout = bool(head[2] & BLACK)
    stage.pause(bool(head[2] & HELD))
    stage.look_number = head[8]
    stage.touched.clear()
    return bool(moving)


def _ways(data, late):
    """(uid, (from, to, ms done, length, curve)) of each fixture of a record, `late` ms on; extras by place. At the end
    (0, byte after them)."""
    at = _HEAD_SIZE
    for _ in range(struct.unpack_from(HEAD, data)[9]):
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
