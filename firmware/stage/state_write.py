"""Writes the stage's state to flash within 5 s of a change. Made and stepped by the app; state_format.py says what is
kept, state_read.py reads it at power-up.

What one fixture has to say takes some 3 ms on an RP2040. So a record is made of one fixture a step; where something
changes meanwhile it is begun anew, since a record is of one moment."""

import struct
from binascii import crc32

from micropython import const

from firmware.show import file_write
from firmware.show.fixture_light import SIX_SIZE, pack
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
    frame_at,
    rig_crc,
    rig_of,
)
from firmware.universe import SLOTS

_QUIET_MS = const(600)  # written when nothing changed for so long,
_LATEST_MS = const(3500)  # or at the latest so long after a change
_INSIDE = const(480)  # bytes that littlefs keeps inside the folder entry: an eighth of a block, less some
_AGAIN_MS = const(60000)  # after a write that failed
_NEVER = const(-1)
_LEAST = struct.calcsize(FIXTURE) + SIX_SIZE + 2  # bytes of a fixture in a record
_CHUNK = const(192)  # bytes: a record in one piece would need more of the heap in a row than there may be
_BROKEN_OFF, _NO_FRAME, _WRITTEN = const(0), const(1), const(2)  # the second: colours are still worked out
_MOST_BROKEN = const(1)  # record broken off; the next is made in one step, however long that takes
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
        self._job = None  # writes a record
        self._broken = 0  # records broken off since the last that was written

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
        elif self._first < 0 and self.moving and not self._job:
            self._first, self._last = now, now + _LATEST_MS  # how far a fade is
        if self._job:
            self._go_on()
        elif may_write and self._first >= 0 and now >= self._wait and self._is_due(now):
            self._job = self._write(now, self._broken >= _MOST_BROKEN)

    def flush(self, now):
        """Write what changed without waiting: the app is being stopped."""
        if self._job or self._first >= 0:
            self._job = self._write(now, True)
            self._go_on()

    def _is_due(self, now):
        """True in a quiet moment, or where there has been none for long. A fade is none: writing flash would hold it
        up."""
        if now - self._first >= _LATEST_MS:
            return True
        if now - self._last < _QUIET_MS:
            return False
        if self.stage.left() and not self.stage.paused:
            self._last = now
            return False
        return True

    def _go_on(self):
        """One fixture more. Errors: MemoryError: it is begun anew."""
        job, self._job = self._job, None
        first = self._first
        try:
            next(job)
            self._job = job
        except StopIteration:
            pass
        except MemoryError:
            self._first = self._last = max(0, first)
            raise

    # Machine code on the chips.
    def _settings_changed(self):
        """As comparing with settings(), but without a tuple at each step."""
        stage = self.stage
        seen = self.seen
        return (stage.master_units != seen[0] or stage.blackout != seen[1] or stage.paused != seen[2]
                or stage.look_number != seen[3])

    def _write(self, now, at_once):
        """Write what changed, one fixture at a time. at_once: all in one step."""
        stage, first = self.stage, max(0, self._first)
        self._first = self._last = _NEVER
        self.moving = stage.left() > 0
        try:
            file_write.make_folder(self.disk, FOLDER)
            written = None
            if self.since is not None and 0 not in self.since:
                written = yield from self._write_step(at_once)
            if written is None:
                written = yield from self._write_base(at_once)
            self._broken = self._broken + 1 if written == _BROKEN_OFF else 0
            if written == _BROKEN_OFF:
                self._first = first  # it is still the oldest change that is not written
            elif written == _NO_FRAME:
                self._first = self._last = now
        except OSError as error:
            self._first = self._last = first
            self.faults.append("The light that is on cannot be kept: %s" % error.args[-1])
            self._wait = now + _AGAIN_MS

    @staticmethod
    def _base_path(number):
        return "%s/base%d" % (FOLDER, number & 1)

    def _write_base(self, at_once):
        """-> how it ended."""
        chunks = yield from self._record(self.stage.show.rig.fixtures, 0, self.base + 1, at_once)
        if not chunks:
            return _BROKEN_OFF
        rig, frame = self._frame()
        self.base_crc = _finish(chunks, rig, frame.rstrip(b"\0"))
        file_write.put(self.disk, self._base_path(self.base + 1), chunks)
        self.base += 1
        self.number, self.since = 0, set()
        return _WRITTEN if rig else _NO_FRAME

    def _write_step(self, at_once):
        """-> how it ended; None where it would not fit inside the folder entry, or the base is of another rig."""
        fixtures = [f for f in self.stage.show.rig.fixtures if f.uid in self.since]
        if len(fixtures) * _LEAST > _INSIDE:
            return None
        chunks = yield from self._record(fixtures, self.base_crc, self.number + 1, at_once)
        if not chunks:
            return _BROKEN_OFF
        base = self.disk.read(self._base_path(self.base))
        rig, frame = self._frame()
        if rig and rig != rig_of(base):
            return None
        _finish(chunks, rig, runs(base[frame_at(base):-TAIL_SIZE], frame))
        if sum([len(chunk) for chunk in chunks]) > _INSIDE:
            return None
        self.number += 1
        file_write.put(self.disk, "%s/step%d" % (FOLDER, self.number & 1), chunks)
        return _WRITTEN if rig else _NO_FRAME

    def _frame(self):
        """(CRC of the rig's file, frame) as state_format.py has them. 0: the frame is not known yet."""
        frame = bytearray(SLOTS)
        return rig_crc(self.disk, self.stage.show.folder) if self.stage.resting_frame(frame) else 0, frame

    def _record(self, fixtures, base_crc, number, at_once):
        """The record of some fixtures up to its frame -> list of bytearrays, or None: something changed meanwhile."""
        stage, rig, time = self.stage, self.stage.show.rig.changes, self.stage.time
        flags = (BLACK if stage.blackout else 0) | (HELD if stage.paused else 0)
        chunks = [bytearray(struct.pack(HEAD, MARK, VERSION, flags, self.show_crc, base_crc, number, time,
                                        stage.master_units, stage.look_number, len(fixtures)))]
        for f in fixtures:
            if not at_once:
                yield
                if self._first >= 0 or rig != stage.show.rig.changes:
                    return None
            if len(chunks[-1]) >= _CHUNK:
                chunks.append(bytearray())
            self._pack(chunks[-1], f, time)
        if stage.raw and not base_crc:
            chunks.append(bytearray())
            stage.raw.pack(chunks[-1])
        return chunks

    def _pack(self, out, fixture, time):
        start_light, end_light, start, length, curve = self.stage.fade_of(fixture)
        names = fixture.personality.extras()
        out.extend(struct.pack(FIXTURE, fixture.uid, 1 if length else 0))
        if length:
            pack(out, start_light, names)
        pack(out, end_light, names)
        if length:
            out.extend(struct.pack(FADE, time - start, length, curve))


def _finish(chunks, rig, slots):
    """Put the frame and the tail behind a record -> its CRC-32. rig: as _frame has it; 0: the slots are left out."""
    at = sum([len(chunk) for chunk in chunks])
    if rig:
        chunks.append(slots)
    chunks.append(struct.pack(TAIL[:-1], rig, at))
    crc = 0
    for chunk in chunks:
        crc = crc32(chunk, crc)
    chunks.append(struct.pack("<I", crc))
    return crc


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
