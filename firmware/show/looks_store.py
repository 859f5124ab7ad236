"""Stores a look. Loaded by looks.Looks for that, and by looks_edit.py."""

from array import array

from firmware.parts import once
from firmware.show import file_disk, look_pack, looks_append
from firmware.show.file_disk import ENOSPC
from firmware.show.look_head import AT_END, LOOK
from firmware.show.look_record import H_FADE, HEAD_SIZE, OLDER, fields

MOST = 200
NAME_MOST = 24
_NEW_FADE_MS = 2000


def store(looks, name, lights, fade_ms=_NEW_FADE_MS):
    """Keep light under a name; a look of that name is replaced. lights: {uid: light}; fade_ms: None: its fade is
    as it was. -> the look's number.

    Errors: ValueError: 201st look, name empty or too long; OSError ENOSPC from the disk: nothing changed.
    """
    name = good_name(name)
    light = look_pack.pack(lights)
    if looks.has(name):
        at = looks.index(name)
        if fade_ms is None and looks.places[at] == OLDER:
            fade_ms = looks.recall(name)[1]
        replace(looks, at, name, light, fade_ms)
        return looks.ids[at]
    add(looks, looks.highest + 1, name, light, _NEW_FADE_MS if fade_ms is None else fade_ms, len(looks))
    return looks.highest


def add(looks, number, name, light, fade_ms, at):
    """Keep a new look at a place in the order. light: bytes of look_pack.pack. Errors: as store."""
    if len(looks) >= MOST:
        raise ValueError("The show is full: %d looks. Delete one first" % MOST)
    record = look_pack.record(LOOK, number, name, light, fade_ms, AT_END if at == len(looks) else at)
    place = append(looks, record, name)
    looks.live += len(record)
    _insert(looks, at, number, name, place)
    looks.highest = max(looks.highest, number)


def _insert(looks, at, number, name, place):
    """Put a look into the order: as Looks.take, but without a list of all names, which takes long."""
    lines = looks.lines
    begin = len(lines)
    if at < len(looks):
        begin = 1
        for _ in range(at):
            begin = lines.find(b"\n", begin) + 1
    looks.lines = lines[:begin] + (name.replace("\n", " ") + "\n").encode() + lines[begin:]
    looks.ids = looks.ids[:at] + array("H", (number,)) + looks.ids[at:]
    looks.places = looks.places[:at] + array("H", (place,)) + looks.places[at:]


def replace(looks, at, name, light, fade):
    """Keep other light, or another name, for the look at a place in the order. fade: None: as it was. Errors:
    OSError ENOSPC: nothing changed."""
    number, old = looks.ids[at], _head(looks, at)
    if fade is None:
        fade = old[H_FADE] if old else _NEW_FADE_MS
    record = look_pack.record(LOOK, number, name, light, fade)
    place = append(looks, record, name)
    if looks.places[at] == OLDER:
        once("firmware.show.looks_older", "drop", looks, number)
    looks.live += len(record) - (look_pack.stored_size(old) if old else 0)
    looks.places[at] = place


def append(looks, data, what):
    """As looks_append.append; where there is no room, the log is cleared of what was replaced."""
    try:
        return looks_append.append(looks, data, what)
    except OSError as error:
        if error.errno != ENOSPC or looks.total - looks.live < file_disk.BLOCK:
            raise
    once("firmware.show.looks_compact", "whole", looks)
    return looks_append.append(looks, data, what)


def _head(looks, at):
    """The head of a look's record in the log, or None: it is not there, or damaged."""
    if looks.places[at] == OLDER:
        return None
    head = bytearray(HEAD_SIZE)
    looks.disk.read_part(*looks.where(looks.places[at]), head)
    return fields(head)


def good_name(name):
    """The name without outer blanks. Errors: ValueError: empty or too long."""
    name = name.strip()
    if not name:
        raise ValueError("A look needs a name")
    if len(name) > NAME_MOST:
        raise ValueError("Name too long: %d letters, can be %d" % (len(name), NAME_MOST))
    return name
