"""Writes the stage's state to flash within 5 s of a change. Made and stepped by the app; state_format.py says what is
kept, state_read.py reads it at power-up."""

import struct
from binascii import crc32

from micropython import const

from firmware.show import file_write
from firmware.stage.state_format import BLACK, FADE, FIXTURE, FOLDER, HEAD, HELD, MARK, VERSION, crc_of, pack_light

_QUIET_MS = const(600)  # written when nothing changed for so long,
_LATEST_MS = const(4000)  # or at the latest so long after a change
_INSIDE = const(480)  # bytes that littlefs keeps inside the folder entry: an eighth of a block, less some
_AGAIN_MS = const(60000)  # after a write that failed
_NEVER = const(-1)


class StateWriter:
    """Writes the state of one stage. `faults`: why it could not be written or read, in words. What is not private is
    for state_read.py, which sets it to what lies on flash."""

    def __init__(self, disk, stage, faults=None):
        self.faults = [] if faults is None else faults
        self.disk = disk
        self.stage = stage
        self.show_crc = crc32(stage.show.folder.encode())
        self.base = self.number = 0  # the numbers last written, of a base and of a step
        self.base_crc = 0
        self.since = None  # uids changed since the base; None: a base is due
        self.moving = False  # a fade was under way at the last write
        self.seen = self.settings()
        self._first = self._last = _NEVER  # ms of the first and last change that is not written yet
        self._wait = 0  # ms: not before this time

    def settings(self):
        """What is kept beside the light, to be compared."""
        stage = self.stage
        return stage.master_units, stage.blackout, stage.paused, stage.look_number

    def step(self, now):
        """Write what changed, when it is due. Blocks for a flash write, in quiet moments if there are any."""
        stage = self.stage
        if stage.touched or self._settings_changed():
            if self.since is not None:
                self.since |= stage.touched
            stage.touched.clear()
            self.seen = self.settings()
            self._last = now
            if self._first < 0:
                self._first = now
        elif self._first < 0 and self.moving:
            self._first, self._last = now, now + _LATEST_MS  # how far a fade is
        due = now - self._last >= _QUIET_MS or now - self._first >= _LATEST_MS
        if due and self._first >= 0 and now >= self._wait:
            self._write(now)

    def flush(self, now):
        """Write what changed without waiting: the app is being stopped."""
        if self._first >= 0:
            self._write(now)

    def _settings_changed(self):
        """As comparing with settings(), but without a tuple at each step."""
        stage, (master, blackout, paused, look) = self.stage, self.seen
        return (stage.master_units != master or stage.blackout != blackout or stage.paused != paused
                or stage.look_number != look)

    def _write(self, now):
        fixtures = self.stage.show.rig.fixtures
        self.moving = self.stage.left() > 0
        try:
            file_write.make_folder(self.disk, FOLDER)
            if self.since is None or not self._write_step([f for f in fixtures if f.uid in self.since]):
                data = self._record(fixtures, 0, self.base + 1)
                file_write.put(self.disk, "%s/base%d" % (FOLDER, (self.base + 1) & 1), data)
                self.base += 1
                self.base_crc = crc_of(data)
                self.number, self.since = 0, set()
            self._first = _NEVER
        except OSError as error:
            self.faults.append("The light that is on cannot be kept: %s" % error.args[-1])
            self._wait = now + _AGAIN_MS

    def _write_step(self, fixtures):
        """False where that would not fit inside the folder entry, or raw slots changed."""
        if 0 in self.since:
            return False
        data = self._record(fixtures, self.base_crc, self.number + 1)
        if len(data) > _INSIDE:
            return False
        self.number += 1
        file_write.put(self.disk, "%s/step%d" % (FOLDER, self.number & 1), data)
        return True

    def _record(self, fixtures, base_crc, number):
        stage = self.stage
        flags = (BLACK if stage.blackout else 0) | (HELD if stage.paused else 0)
        out = bytearray(struct.pack(HEAD, MARK, VERSION, flags, self.show_crc, base_crc, number, stage.time,
                                    stage.master_units, stage.look_number, len(fixtures)))
        for f in fixtures:
            self._pack(out, f)
        if stage.raw and not base_crc:
            stage.raw.pack(out)
        out.extend(struct.pack("<I", crc32(out)))
        return out

    def _pack(self, out, fixture):
        start_light, end_light, start, length, curve = self.stage.fade_of(fixture)
        names = fixture.personality.extras()
        out.extend(struct.pack(FIXTURE, fixture.uid, 1 if length else 0))
        if length:
            pack_light(out, start_light, names)
        pack_light(out, end_light, names)
        if length:
            out.extend(struct.pack(FADE, self.stage.time - start, length, curve))
