"""Writes the stage's state to flash within 5 s of a change. Made and stepped by the app; state_format.py says what is
kept, state_read.py reads it at power-up."""

import struct
from binascii import crc32

from micropython import const

from firmware.show import file_write
from firmware.show.fixture_light import pack
from firmware.stage.state_format import (
    BLACK,
    FADE,
    FIXTURE,
    FOLDER,
    HEAD,
    HELD,
    MARK,
    RUN,
    TAIL,
    TAIL_SIZE,
    VERSION,
    crc_of,
    frame_at,
    rig_crc,
    rig_of,
)
from firmware.universe import SLOTS

_QUIET_MS = const(600)  # written when nothing changed for so long,
_LATEST_MS = const(4000)  # or at the latest so long after a change
_INSIDE = const(480)  # bytes that littlefs keeps inside the folder entry: an eighth of a block, less some
_AGAIN_MS = const(60000)  # after a write that failed
_NEVER = const(-1)
_RUN_GAP = const(4)  # bytes: equal slots between two runs that one run takes in


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
        self._rig = stage.show.rig.changes  # of the rig that the last base is of
        self.seen = self.settings()
        self._first = self._last = _NEVER  # ms of the first and last change that is not written yet
        self._wait = 0  # ms: not before this time

    def settings(self):
        """What is kept beside the light, to be compared."""
        stage = self.stage
        return stage.master_units, stage.blackout, stage.paused, stage.look_number

    # Machine code on the chips.
    def step(self, now, may_write=True):
        """Note what changed, and write it when it is due. Blocks for a flash write, in quiet moments if there are any.
        may_write: False while somebody turns the knob."""
        stage = self.stage
        if stage.show.rig.changes != self._rig:
            self._rig, self.since = stage.show.rig.changes, None
            if self.base:  # what is kept is of the rig before; where nothing is, another show's light stays
                self._first = self._last = now
        elif stage.touched or self._settings_changed():
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
        if may_write and due and self._first >= 0 and now >= self._wait:
            self._write(now)

    def flush(self, now):
        """Write what changed without waiting: the app is being stopped."""
        if self._first >= 0:
            self._write(now)

    # Machine code on the chips.
    def _settings_changed(self):
        """As comparing with settings(), but without a tuple at each step."""
        stage = self.stage
        seen = self.seen
        return (stage.master_units != seen[0] or stage.blackout != seen[1] or stage.paused != seen[2]
                or stage.look_number != seen[3])

    def _write(self, now):
        stage = self.stage
        fixtures = stage.show.rig.fixtures
        self.moving = stage.left() > 0
        frame = bytearray(SLOTS)
        rig = rig_crc(self.disk, stage.show.folder) if stage.resting_frame(frame) else 0
        try:
            file_write.make_folder(self.disk, FOLDER)
            if self.since is None or not self._write_step([f for f in fixtures if f.uid in self.since], rig, frame):
                data = self._record(fixtures, 0, self.base + 1, rig, frame.rstrip(b"\0"))
                file_write.put(self.disk, self._base_path(self.base + 1), data)
                self.base += 1
                self.base_crc = crc_of(data)
                self.number, self.since = 0, set()
            # Colours that are still worked out have no frame yet: it follows.
            self._first = self._last = _NEVER if rig else now
        except OSError as error:
            self.faults.append("The light that is on cannot be kept: %s" % error.args[-1])
            self._wait = now + _AGAIN_MS

    @staticmethod
    def _base_path(number):
        return "%s/base%d" % (FOLDER, number & 1)

    def _write_step(self, fixtures, rig, frame):
        """False where that would not fit inside the folder entry, or raw slots changed, or the base is of another rig.
        """
        if 0 in self.since:
            return False
        base = self.disk.read(self._base_path(self.base))
        if rig and rig != rig_of(base):
            return False
        data = self._record(fixtures, self.base_crc, self.number + 1, rig, runs(base[frame_at(base):-TAIL_SIZE], frame))
        if len(data) > _INSIDE:
            return False
        self.number += 1
        file_write.put(self.disk, "%s/step%d" % (FOLDER, self.number & 1), data)
        return True

    def _record(self, fixtures, base_crc, number, rig, slots):
        """rig, slots: the CRC of the rig's file and the frame, as state_format.py has them; 0: there is no frame."""
        stage = self.stage
        flags = (BLACK if stage.blackout else 0) | (HELD if stage.paused else 0)
        out = bytearray(struct.pack(HEAD, MARK, VERSION, flags, self.show_crc, base_crc, number, stage.time,
                                    stage.master_units, stage.look_number, len(fixtures)))
        for f in fixtures:
            self._pack(out, f)
        if stage.raw and not base_crc:
            stage.raw.pack(out)
        at = len(out)
        if rig:
            out.extend(slots)
        out.extend(struct.pack(TAIL[:-1], rig, at))
        out.extend(struct.pack("<I", crc32(out)))
        return out

    def _pack(self, out, fixture):
        start_light, end_light, start, length, curve = self.stage.fade_of(fixture)
        names = fixture.personality.extras()
        out.extend(struct.pack(FIXTURE, fixture.uid, 1 if length else 0))
        if length:
            pack(out, start_light, names)
        pack(out, end_light, names)
        if length:
            out.extend(struct.pack(FADE, self.stage.time - start, length, curve))


def runs(old, new):
    """The slots that are others than in the frame of a base, as RUN and their values: bytearray. Two runs that lie so
    close that a new one would take more bytes are one. old: without the zeros at its end."""
    out, at, last = bytearray(), 0, -1 - _RUN_GAP
    begin = 0
    for i in range(len(new)):
        if new[i] != (old[i] if i < len(old) else 0):
            if i - last > _RUN_GAP or i - begin >= 255:
                begin, at = i, len(out)
                out.extend(struct.pack(RUN, i, 0))
            else:
                out.extend(new[last + 1:i])
            out.append(new[i])
            out[at + 2] = i + 1 - begin
            last = i
    return out
