"""Brings a stage back to what was on at the last power-down: reads what state_write.py wrote. Loaded by the app, once a
start."""

import struct

from micropython import const

from firmware.show import file_disk
from firmware.show.fixture_light import EXTRAS, from_pairs, unpack
from firmware.stage import patch_fields as fields
from firmware.stage import state_format as form

_FIXTURE_SIZE = struct.calcsize(form.FIXTURE)
_FADE_SIZE = struct.calcsize(form.FADE)
_LONGEST_MS = const(1200000)  # of a fade: twice what can be asked for, for the lag of lamps


# What reading a record raises whose checksum is right and whose content is not (MicroPython has no struct.error).
_WRONG = (IndexError, ValueError, getattr(struct, "error", ValueError))


def read(writer, now, running=False):
    """Bring the stage of a StateWriter back to what was on at the last power-down. running: fades go on where they
    were, as after a restart; else they are at their ends, but for those that were held. False: nothing was kept for
    this show, or it is wrong, which goes to the faults."""
    try:
        return _read(writer, now, running)
    except _WRONG:
        writer.faults.append("%s holds what cannot be: the light is begun anew" % form.FOLDER)
        writer.since = None
        return False


def _read(writer, now, running):
    base = _newest(writer, "base", 0)
    if base is None:
        return False
    head = struct.unpack_from(form.HEAD, base)
    writer.base = head[form.H_NUMBER]
    writer.base_crc = form.crc_of(base)
    step = _newest(writer, "step", writer.base_crc)
    last = head if step is None else struct.unpack_from(form.HEAD, step)
    writer.number = 0 if step is None else last[form.H_NUMBER]
    fades = {}
    end = _read_fades(base, last[form.H_TIME] - head[form.H_TIME], fades)
    _bring_raw(writer.stage, base, end)
    changed = {}
    if step is not None:
        _read_fades(step, 0, changed)
    fades.update(changed)
    writer.moving = _bring(writer.stage, now, last, fades, running)
    writer.seen = writer.settings()
    # How far a fade is counts in the time of the stage before: then the next write is a base.
    writer.since = None if writer.moving else set(changed)
    return True


def _newest(writer, name, base_crc):
    """The newest sound record of this show and of that base: bytes, None without one."""
    return form.newest([_record(writer, "%s/%s%s" % (form.FOLDER, name, n)) for n in "01"], writer.show_crc, base_crc)


def _record(writer, path):
    """A record, or None; damage goes to the faults. An empty file: power was cut in its first write."""
    try:
        data = writer.disk.read(path)
    except OSError as error:
        if error.errno != file_disk.ENOENT:
            writer.faults.append("%s cannot be read (error %d)" % (path, error.errno))
        return None
    if data and not form.is_sound(data):
        writer.faults.append("%s is damaged: the state before it is used" % path)
        return None
    return data


def _bring(stage, now, head, fades, running):
    """Put the stage where it was. fades: as _read_fades fills it; running: as read takes it. True: a fade is under way.
    """
    if not running and not head[form.H_FLAGS] & form.HELD:
        fades = {uid: (end, end, 0, 0, 0) for uid, (_start, end, _done, _length, _curve) in fades.items()}
    under_way = [done for _start, _end, done, length, _curve in fades.values() if done < length]
    time = max(under_way + [0])
    stage.set_time(now, time)
    standing = {}
    for f in stage.show.rig.fixtures:
        if f.uid in fades:
            start_light, end_light, done, length, curve = fades[f.uid]
            names = f.personality.extras()
            if done >= length:
                standing[f.uid] = _named(end_light, names)
            else:
                stage.set_fade(f, _named(start_light, names), _named(end_light, names), time - done, length, curve)
    stage.aim(standing, 0)  # all together: equal ones are worked out once
    stage.finish()
    stage.master_units = min(fields.ONE, head[form.H_MASTER])
    stage.blackout = bool(head[form.H_FLAGS] & form.BLACK)
    stage.pause(bool(head[form.H_FLAGS] & form.HELD))
    stage.look_number = head[form.H_LOOK]
    stage.edited = bool(head[form.H_FLAGS] & form.EDITED)
    stage.touched.clear()
    return bool(under_way)


def _named(light, names):
    """A light as it was read, with its raw channels by name."""
    return light[:EXTRAS] + [from_pairs(light[EXTRAS], names)]


def _read_fades(data, later, fades):
    """Put {uid: (from, to, ms done, length, curve)} of each fixture of a record into fades, `later` ms on -> byte after
    the fixtures."""
    at = form.HEAD_SIZE
    for _ in range(struct.unpack_from(form.HEAD, data)[form.H_COUNT]):
        uid, moving = struct.unpack_from(form.FIXTURE, data, at)
        light, at = unpack(data, at + _FIXTURE_SIZE)
        fades[uid] = light, light, 0, 0, 0
        if moving:
            goal, at = unpack(data, at)
            done, length, curve = struct.unpack_from(form.FADE, data, at)
            at += _FADE_SIZE
            if length > _LONGEST_MS or abs(done) > _LONGEST_MS or curve > 1:
                raise ValueError
            fades[uid] = light, goal, done + later, length, curve
    return at


def _bring_raw(stage, data, at):
    """Bring the raw slots that lie in a base from byte `at` on."""
    runs, end = [], form.frame_at(data)
    while at < end:
        first, count = struct.unpack_from("<HB", data, at)
        runs.append([first] + list(data[at + 3:at + 3 + count]))
        at += 3 + count
    if runs:
        stage.move_raw(runs, 0)
