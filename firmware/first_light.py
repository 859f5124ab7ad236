"""The light that was on at power-down, for the line to show before the app is there, and how many ports show it. Loaded
by firmware/start, once a start.

The stage's state has it as a frame (stage/state_format.py). Where anything is in doubt, the line says nothing rather
than something wrong: the app then finds out what to do.
"""

import struct
from binascii import crc32

from firmware.show.file_format import unseal
from firmware.stage import state_format as form
from firmware.universe import SLOTS, UNIVERSES

_SHOWS = "shows"  # as show/show.py has it


def light(disk):
    """The frame that was on at power-down: bytearray of 512 slots, or of 1024 where the second universe has light.
    None: nothing is kept, the device is to start dark, a file is damaged, or the frame is of another show or rig than
    the one that is open."""
    try:
        shelf, _why = unseal(disk.read("shelf.json"))
        if shelf is None or shelf["dark"]:
            return None
        folder = _SHOWS + "/" + shelf["open"]
        base = _newest(disk, "base", folder, 0)
        if base is None:
            return None
        step = _newest(disk, "step", folder, form.crc_of(base))
        rig = form.rig_crc(disk, folder)
        if rig and form.rig_of(step or base) == form.rig_of(base) == rig:
            return _frame(base, step)
    except (OSError, ValueError, KeyError, TypeError):
        pass  # in doubt
    return None


def outs(disk, most):
    """How many ports send. most: 2 where the second does if the settings say so."""
    try:
        kit = disk.read("kit.json") if most > 1 else b""
        if b'"port2":1' in kit and (unseal(kit)[0] or {}).get("port2"):
            return 2
    except OSError:
        pass  # none is saved
    return 1


def _newest(disk, name, folder, base_crc):
    """The newest record of a show. Errors: ValueError: one is damaged."""
    found = []
    for n in "01":
        try:
            data = disk.read("%s/%s%s" % (form.FOLDER, name, n))
        except OSError:
            continue
        if data and not form.is_sound(data):
            raise ValueError
        found.append(data)
    return form.newest(found, crc32(folder.encode()), base_crc)


def _frame(base, step):
    """The frame of a base, or of a step of that base: None where it does not fit into two universes."""
    slots = base[form.frame_at(base):-form.TAIL_SIZE]
    frame = bytearray(UNIVERSES * SLOTS)
    most = len(slots)
    if most > len(frame):
        return None
    frame[:most] = slots
    at, end = (form.frame_at(step), len(step) - form.TAIL_SIZE) if step else (0, 0)
    while at < end:
        first, count = struct.unpack_from(form.RUN, step, at)
        at += struct.calcsize(form.RUN)
        if at + count > end or first + count > len(frame):
            return None
        frame[first:first + count] = step[at:at + count]
        at += count
        most = max(most, first + count)
    return frame if most > SLOTS else frame[:SLOTS]
