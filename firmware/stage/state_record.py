"""Writes one record of the stage's state. Loaded by state_write.py for as long as that takes.

What one fixture has to say takes some 3 ms on an RP2040. So a record is made of one fixture a step; where something
changes meanwhile it is broken off, since a record is of one moment.
"""

import struct
from binascii import crc32

from micropython import const

from firmware.show import file_write
from firmware.show.fixture_light import SIX_SIZE, pack
from firmware.stage.state_format import (
    BLACK,
    EDITED,
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

_INSIDE = const(480)  # bytes that littlefs keeps inside the folder entry: an eighth of a block, less some
_AGAIN_MS = const(60000)  # after a write that failed
_NEVER = const(-1)
_LEAST = struct.calcsize(FIXTURE) + SIX_SIZE + 2  # bytes of a fixture in a record
_CHUNK = const(192)  # bytes: a record in one piece would need more of the heap in a row than there may be
_BROKEN_OFF, _NO_FRAME, _WRITTEN = const(0), const(1), const(2)  # the second: colours are still worked out
_RUN_GAP = const(4)  # bytes: equal slots between two runs that one run takes in


def write(writer, now, at_once):
    """Write what changed, one fixture at a time. at_once: all in one step."""
    stage, first = writer.stage, max(0, writer.first)
    writer.first = writer.last = _NEVER
    writer.moving = stage.left() > 0
    try:
        file_write.make_folder(writer.disk, FOLDER)
        written = None
        if writer.since is not None and 0 not in writer.since:
            written = yield from _write_step(writer, at_once)
        if written is None:
            written = yield from _write_base(writer, at_once)
        writer.broken = writer.broken + 1 if written == _BROKEN_OFF else 0
        if written == _BROKEN_OFF:
            writer.first = first  # it is still the oldest change that is not written
        elif written == _NO_FRAME:
            writer.first = writer.last = now
    except OSError as error:
        writer.first = writer.last = first
        writer.faults.append("The light that is on cannot be kept: %s" % error.args[-1])
        writer.wait = now + _AGAIN_MS


def _base_path(number):
    return "%s/base%d" % (FOLDER, number & 1)


def _write_base(writer, at_once):
    """-> how it ended."""
    chunks = yield from _record(writer, writer.stage.show.rig.fixtures, 0, writer.base + 1, at_once)
    if not chunks:
        return _BROKEN_OFF
    rig, frame = _frame(writer)
    writer.base_crc = _finish(chunks, rig, frame.rstrip(b"\0"))
    file_write.put(writer.disk, _base_path(writer.base + 1), chunks)
    writer.base += 1
    writer.number, writer.since = 0, set()
    return _WRITTEN if rig else _NO_FRAME


def _write_step(writer, at_once):
    """-> how it ended; None where it would not fit inside the folder entry, or the base is of another rig."""
    fixtures = [f for f in writer.stage.show.rig.fixtures if f.uid in writer.since]
    if len(fixtures) * _LEAST > _INSIDE:
        return None
    chunks = yield from _record(writer, fixtures, writer.base_crc, writer.number + 1, at_once)
    if not chunks:
        return _BROKEN_OFF
    base = writer.disk.read(_base_path(writer.base))
    rig, frame = _frame(writer)
    if rig and rig != rig_of(base):
        return None
    _finish(chunks, rig, runs(base[frame_at(base):-TAIL_SIZE], frame))
    if sum([len(chunk) for chunk in chunks]) > _INSIDE:
        return None
    writer.number += 1
    file_write.put(writer.disk, "%s/step%d" % (FOLDER, writer.number & 1), chunks)
    return _WRITTEN if rig else _NO_FRAME


def _frame(writer):
    """(CRC of the rig's file, frame) as state_format.py has them. 0: the frame is not known yet."""
    frame = bytearray(writer.stage.show.rig.slots())
    return rig_crc(writer.disk, writer.stage.show.folder) if writer.stage.resting_frame(frame) else 0, frame


def _record(writer, fixtures, base_crc, number, at_once):
    """The record of some fixtures up to its frame -> list of bytearrays, or None: something changed meanwhile."""
    stage, rig, time = writer.stage, writer.stage.show.rig.changes, writer.stage.time
    flags = (BLACK if stage.blackout else 0) | (HELD if stage.paused else 0) | (EDITED if stage.edited else 0)
    chunks = [bytearray(struct.pack(HEAD, MARK, VERSION, flags, writer.show_crc, base_crc, number, time,
                                    stage.master_units, stage.look_number, len(fixtures)))]
    for f in fixtures:
        if not at_once:
            yield
            if writer.first >= 0 or rig != stage.show.rig.changes:
                return None
        if len(chunks[-1]) >= _CHUNK:
            chunks.append(bytearray())
        _pack(writer, chunks[-1], f, time)
    if stage.raw and not base_crc:
        chunks.append(bytearray())
        stage.raw.pack(chunks[-1])
    return chunks


def _pack(writer, out, fixture, time):
    start_light, end_light, start, length, curve = writer.stage.fade_of(fixture)
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
