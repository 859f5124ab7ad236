"""The stage's state on flash: written within 5 s of a change, read at power-up. Called by the app.

What is kept: the light of every fixture (and where it is on its way, in a fade), master, blackout, held fades, the
open look. Four small files in state/, written in turn so that a torn or damaged one leaves the one before it:

    base0, base1   all fixtures
    step0, step1   the fixtures that changed since the base, while they fit in what littlefs keeps inside its folder
                   entry (a write there needs no block of its own: about one erase in 16 writes)

A record is a head (_HEAD: mark, version, flags, CRC-32 of the show's folder, of the base that a step belongs to (base:
0), number, ms of the stage's time, master, look, count), the fixtures, and the CRC-32 of all before it. Numbers are
little-endian.
"""

import struct
from binascii import crc32

from micropython import const

from firmware.show import keep

FOLDER = "state"

_HEAD = "<2sBBIIIIIHH"
_HEAD_SIZE = const(28)
_LIGHT = "<IHhHHH"  # personality.PARAMS in its SCALE
_VERSION = const(1)
_BLACK = const(1)
_HELD = const(2)
_QUIET_MS = const(600)  # written when nothing changed for so long,
_LATEST_MS = const(4000)  # or at the latest so long after a change
_INSIDE = const(480)  # bytes that littlefs keeps inside the folder entry: an eighth of a block, less some
_AGAIN_MS = const(60000)  # after a write that failed


class Kept:
    """The state of one stage. `faults`: why it could not be kept or read, in words."""

    def __init__(self, disk, stage, faults=None):
        self.faults = [] if faults is None else faults
        self._disk = disk
        self._stage = stage
        self._key = crc32(stage.show.folder.encode())
        self._base = self._step = 0  # the numbers last written
        self._base_crc = 0
        self._since = None  # uids changed since the base; None: a base is due
        self._first = self._last = -1  # ms of the first and last change that is not kept yet
        self._wait = 0  # not before this time
        self._seen = self._rest()
        self._moving = False

    def load(self, now):
        """Bring the stage back to what was on at the last power-down. False: nothing was kept for this show."""
        base = self._newest("base", 0)
        if base is None:
            return False
        head = struct.unpack_from(_HEAD, base)
        self._base = head[5]
        self._base_crc = _crc(base)
        step = self._newest("step", self._base_crc)
        last = head if step is None else struct.unpack_from(_HEAD, step)
        self._step = 0 if step is None else last[5]
        ways = dict(_ways(base, last[6] - head[6]))
        changed = {} if step is None else dict(_ways(step, 0))
        ways.update(changed)
        self._put(now, last, ways)
        # How far a fade is counts in the time of the stage before: then the next write is a base.
        self._since = None if self._moving else set(changed)
        return True

    def step(self, now):
        """Write what changed, when it is due. Blocks for a flash write, in quiet moments if there are any."""
        stage = self._stage
        if stage.touched or self._changed():
            if self._since is not None:
                self._since |= stage.touched
            stage.touched.clear()
            self._seen = self._rest()
            self._last = now
            if self._first < 0:
                self._first = now
        elif self._first < 0 and self._moving:
            self._first, self._last = now, now + _LATEST_MS  # how far a fade is
        due = now - self._last >= _QUIET_MS or now - self._first >= _LATEST_MS
        if due and self._first >= 0 and now >= self._wait:
            self._write(now)

    def _changed(self):
        stage, seen = self._stage, self._seen
        return (stage.master_units != seen[0] or stage.blackout != seen[1] or stage.paused != seen[2]
                or stage.look_number != seen[3])

    def _rest(self):
        stage = self._stage
        return stage.master_units, stage.blackout, stage.paused, stage.look_number

    def _write(self, now):
        fixtures = self._stage.show.rig.fixtures
        self._moving = self._stage.left() > 0
        try:
            self._disk.mkdir(FOLDER)
            if self._since is None or not self._write_step([f for f in fixtures if f.uid in self._since]):
                data = self._record(fixtures, 0, self._base + 1)
                keep.put(self._disk, "%s/base%d" % (FOLDER, (self._base + 1) & 1), data)
                self._base += 1
                self._base_crc = _crc(data)
                self._step, self._since = 0, set()
        except OSError as error:
            self.faults.append("The light that is on cannot be kept: %s" % error.args[-1])
            self._wait = now + _AGAIN_MS
        self._first = -1

    def _write_step(self, fixtures):
        """False where that would not fit inside the folder entry."""
        data = self._record(fixtures, self._base_crc, self._step + 1)
        if len(data) > _INSIDE:
            return False
        self._step += 1
        keep.put(self._disk, "%s/step%d" % (FOLDER, self._step & 1), data)
        return True

    def _record(self, fixtures, base_crc, number):
        stage = self._stage
        flags = (_BLACK if stage.blackout else 0) | (_HELD if stage.paused else 0)
        out = bytearray(struct.pack(_HEAD, b"HS", _VERSION, flags, self._key, base_crc, number, stage.time,
                                    stage.master_units, stage.look_number, len(fixtures)))
        for f in fixtures:
            _pack(out, f, stage.way(f), stage.time)
        out.extend(struct.pack("<I", crc32(out)))
        return out

    def _newest(self, name, base_crc):
        """The newest sound record of this show and of that base: bytes, None without one."""
        best, most = None, -1
        for n in "01":
            try:
                data = self._disk.read("%s/%s%s" % (FOLDER, name, n))
            except OSError as error:
                if error.errno != keep.ENOENT:
                    self.faults.append("%s/%s%s cannot be read" % (FOLDER, name, n))
                continue
            if not data:
                continue  # a power cut in the file's first write
            if not _sound(data):
                self.faults.append("%s/%s%s is damaged: the state before it is used" % (FOLDER, name, n))
                continue
            head = struct.unpack_from(_HEAD, data)
            if head[3] == self._key and head[4] == base_crc and head[5] > most:
                best, most = data, head[5]
        return best

    def _put(self, now, head, ways):
        stage = self._stage
        moving = [w[2] for w in ways.values() if w[2] < w[3]]
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
        stage.blackout = bool(head[2] & _BLACK)
        stage.pause(bool(head[2] & _HELD))
        stage.look_number = head[8]
        stage.touched.clear()
        self._seen = self._rest()
        self._moving = bool(moving)


def _pack(out, fixture, way, time):
    """Append one fixture: uid, light; in a fade also where it comes from, ms done, its length and curve."""
    a, b, start, length, curve = way
    out.extend(struct.pack("<HB", fixture.uid, 1 if length else 0))
    names = fixture.personality.extras()
    for light, extras in (a, b) if length else (b,):
        out.extend(struct.pack(_LIGHT, *light))
        pairs = [(names.index(name), value) for name, value in extras.items() if name in names]
        out.append(len(pairs))
        for pair in pairs:
            out.extend(struct.pack("<HH", *pair))
    if length:
        out.extend(struct.pack("<iIB", time - start, length, curve))


def _ways(data, late):
    """(uid, (from, to, ms done, length, curve)) of each fixture of a record, `late` ms on; extras by place."""
    at = _HEAD_SIZE
    for _ in range(struct.unpack_from(_HEAD, data)[9]):
        uid, moving = struct.unpack_from("<HB", data, at)
        at += 3
        a, at = _light(data, at)
        if not moving:
            yield uid, (a, a, 0, 0, 0)
            continue
        b, at = _light(data, at)
        done, length, curve = struct.unpack_from("<iIB", data, at)
        at += 9
        yield uid, (a, b, done + late, length, curve)


def _light(data, at):
    light = list(struct.unpack_from(_LIGHT, data, at))
    count = data[at + 14]
    at += 15
    extras = {}
    for _ in range(count):
        place, value = struct.unpack_from("<HH", data, at)
        extras[place] = value
        at += 4
    return (light, extras), at


def _named(end, names):
    """A light with its extras by name; those of channels that are gone are left out."""
    return end[0], {names[place]: value for place, value in end[1].items() if place < len(names)}


def _sound(data):
    if len(data) < _HEAD_SIZE + 4 or data[:3] != b"HS\x01":
        return False
    return _crc(data) == crc32(memoryview(data)[:-4])


def _crc(record):
    return struct.unpack_from("<I", record, len(record) - 4)[0]
