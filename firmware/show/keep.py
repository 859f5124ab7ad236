"""The safe file layer: every JSON file that must outlive a power cut is saved and loaded here.

Called by the shelf, the show and the kit page. A file is one JSON object (RFC 8259) and nothing else:

    {"crc":"1a2b3c4d","key":value, ... "schema":1, ...}

Everything after the `crc` member is in the canonical form of RFC 8785: keys sorted by code point, no
blanks, UTF-8. Numbers are whole, or rounded to six decimals and about six digits, which the chips' single
floats read back and write the same. `crc` is eight hex digits, small letters: the CRC-32 (ISO-HDLC, as in
zlib and PNG) of the canonical form of the object without `crc`. So a checker may take the bytes (CRC of "{"
followed by byte 18 to the end of the file) or the meaning (parse, drop `crc`, write canonically, CRC of
that).

Beside a file NAME there may lie, in the same folder:
    NAME+      the next copy, being written; a power cut can leave it, whole or torn
    NAME~      the last good copy: what NAME held before the last save. Gives way when space is short
    NAME.bad   a damaged copy, set aside to be looked at; NAME.2.bad is the second

A save writes NAME+ and syncs it, renames NAME to NAME~, then NAME+ to NAME. Each step is whole or not there,
and after a cut between any two of them `load` and `recover` find either the old content or the new.
"""

import json
from binascii import crc32

from micropython import const

SCHEMA = 1
ENOENT, EROFS, ENOSPC = 2, 30, 28  # MicroPython's errno module lacks the last two

_HEAD = const(18)  # bytes of {"crc":"1a2b3c4d",
_MOST = const(9007199254740991)  # 2**53 - 1: the whole numbers that RFC 8259 section 6 calls interoperable
_ESCAPES = {8: "\\b", 9: "\\t", 10: "\\n", 12: "\\f", 13: "\\r", 34: '\\"', 92: "\\\\"}
_INSTEAD = {
    "+": "set aside, the newer copy beside it is used",
    "~": "set aside, the last good copy is used",
    "": "set aside, there is no good copy",
}


def save(disk, path, obj):
    """Save a dict of plain JSON values: when this returns, it is on flash. Writes nothing if nothing changed.

    `schema` is added where obj has none. Errors: ValueError for a value that a file cannot hold;
    OSError(ENOSPC, text) and everything is as it was; OSError(EROFS, text) for a file of a newer schema.
    """
    data = seal(obj)
    was, why = _bytes(disk, path)
    if was == data:
        return
    if was is not None:
        old, why = _open(was)
        if old and newer(old):
            raise OSError(EROFS, path + " was written by a newer version and is left as it is")
        was = old = None
    elif why is None:
        why = ""
    if not (_swapped(disk, path, data, why) or spare(disk) and _swapped(disk, path, data, why)):
        text = "no room for %s: it needs %d bytes, %d are free. Delete looks, captures or a show"
        raise OSError(ENOSPC, text % (path, len(data), disk.free()[0]))


def load(disk, path):
    """(obj, fault): the content as a dict with its `schema`, None where there is no such file; and a short
    sentence where it was damaged: the file, what was wrong, what is used instead (None: all is well).

    Finishes a save that a power cut interrupted. Sets a damaged file aside, the last good copy takes its
    place.
    """
    obj, why = read(disk, path)
    if obj is not None:
        return obj, _newer_text(path, obj)
    if why:
        disk.rename(path, _aside(disk, path))
    obj, mark = _restore(disk, path)
    if why is None and mark != "~":
        return obj, None  # no such file, or a save that needed only its last rename
    return obj, "%s %s: %s" % (path, why or "is missing", _INSTEAD[mark])


def read(disk, path):
    """(obj, why): the content, or None and what is wrong with it (None where there is no such file).
    Changes nothing on the disk."""
    data, why = _bytes(disk, path)
    return (None, why) if data is None else _open(data)


def remove(disk, path):
    """Delete a file, with its old copy: the file itself goes last. No error where it is gone already."""
    for mark in ("+", "~", ""):
        _remove(disk, path + mark)


def recover(disk, folder):
    """Finish or roll back what a power cut left in a folder, before it is listed. Returns the faults."""
    names = disk.list(folder)
    faults = []
    for name in names:
        path = _join(folder, name[:-1])
        if name[-1] == "+" and name[:-1] in names:
            _remove(disk, path + "+")
        elif name[-1] in "+~" and name[:-1] not in names:
            fault = load(disk, path)[1]
            if fault:
                faults.append(fault)
    return faults


def spare(disk, folder=""):
    """Give up the last good copies in a folder and those in it, to make room. Returns how many went."""
    went = 0
    for name in disk.list(folder):
        path = _join(folder, name)
        if name[-1] == "/":
            went += spare(disk, path[:-1])
        elif name[-1] == "~" and _remove(disk, path):
            went += 1
    return went


def newer(obj):
    """True where the content is of a schema that this version does not know: to be read only."""
    return obj["schema"] > SCHEMA


def seal(obj):
    """The bytes of the file: canonical, the CRC in front. Errors: ValueError as for `encode`."""
    if "schema" not in obj:
        obj = dict(obj)
        obj["schema"] = SCHEMA
    out = bytearray(_HEAD - 1)
    _put(out, obj)
    crc = crc32(memoryview(out)[_HEAD - 1 :])
    out[:_HEAD] = b'{"crc":"%08x",' % crc  # its comma takes the place of the object's brace
    return out


def encode(obj):
    """Canonical JSON of RFC 8785: bytearray. Numbers within +-(2**53 - 1), keys are text.
    Errors: ValueError naming the value."""
    out = bytearray()
    _put(out, obj)
    return out


def _put(out, obj):
    if isinstance(obj, str):
        _put_text(out, obj)
    elif isinstance(obj, dict):
        _put_dict(out, obj)
    elif isinstance(obj, (list, tuple)):
        _put_list(out, obj)
    elif obj is None or obj is True or obj is False:
        out.extend(b"null" if obj is None else b"true" if obj else b"false")
    elif isinstance(obj, int) and -_MOST <= obj <= _MOST:
        out.extend(str(obj).encode())
    elif isinstance(obj, float) and -_MOST <= obj <= _MOST:
        out.extend(_decimal(obj).encode())
    else:
        raise ValueError("a file holds numbers, text, true, false, null, lists and objects, not %r" % (obj,))


def _put_dict(out, obj):
    mark = b"{"
    for key in sorted(obj):
        if not isinstance(key, str):
            raise ValueError("a key is text, not %r" % (key,))
        out.extend(mark)
        _put_text(out, key)
        out.extend(b":")
        _put(out, obj[key])
        mark = b","
    out.extend(b"}" if obj else b"{}")


def _put_list(out, obj):
    mark = b"["
    for item in obj:
        out.extend(mark)
        _put(out, item)
        mark = b","
    out.extend(b"]" if obj else b"[]")


def _put_text(out, text):
    raw = text.encode()
    if raw and (min(raw) < 32 or b'"' in raw or b"\\" in raw):
        raw = "".join([_escaped(c) for c in text]).encode()
    out.extend(b'"')
    out.extend(raw)
    out.extend(b'"')


def _decimal(value):
    """At most six decimals and a number of digits below 2**22: there single precision still rounds right."""
    scale, places = 1000000, 6
    while abs(value) * scale >= 4000000 and places:
        scale //= 10
        places -= 1
    n = int(abs(value) * scale + 0.5)
    text = str(n // scale)
    if n % scale:
        text += "." + ("%0*d" % (places, n % scale)).rstrip("0")
    return "-" + text if value < 0 and n else text


def _escaped(char):
    code = ord(char)
    return _ESCAPES.get(code) or ("\\u%04x" % code if code < 32 else char)


def _open(data):
    """(obj, None) from the bytes of a sound file, else (None, why)."""
    if len(data) < _HEAD + 2 or data[:8] != b'{"crc":"' or data[16:_HEAD] != b'",':
        return None, "is not whole"
    if data[8:16] != b"%08x" % crc32(memoryview(data)[_HEAD:], crc32(b"{")):
        return None, "is damaged (wrong CRC)"
    try:
        obj = json.loads(data)
        del obj["crc"]
    except ValueError:
        return None, "is not JSON"
    if not isinstance(obj.get("schema"), int):
        return None, "has no schema number"
    return obj, None


def _bytes(disk, path):
    """(bytes, None), (None, None) where there is no such file, (None, why) where flash gives none."""
    try:
        return disk.read(path), None
    except OSError as error:
        if error.errno == ENOENT:
            return None, None
        return None, "cannot be read (error %d)" % error.errno


def _swapped(disk, path, data, why):
    """Write the next copy and put it in place; False and as before where there is no room.
    why: what is wrong with the present file, "" where there is none, None where it is sound."""
    old = path + "~" if why is None else _aside(disk, path)
    moved = False
    try:
        disk.write(path + "+", data)
        if why != "":
            disk.rename(path, old)
            moved = True
        disk.rename(path + "+", path)
        return True
    except OSError as error:
        if error.errno != ENOSPC:
            raise
    if moved:
        disk.rename(old, path)
    _remove(disk, path + "+")
    return False


def _restore(disk, path):
    """Put the newest sound copy that lies beside a missing file in its place: (obj, mark), (None, "")."""
    for mark in "+~":
        obj, why = read(disk, path + mark)
        if obj is not None:
            disk.rename(path + mark, path)
            return obj, mark
        if why and mark == "+":
            _remove(disk, path + mark)  # torn by the cut: never reported saved
    return None, ""


def _remove(disk, path):
    """Delete a file; True where there was one. A full disk may refuse: the next boot tidies up."""
    try:
        disk.remove(path)
        return True
    except OSError as error:
        if error.errno not in (ENOENT, ENOSPC):
            raise
        return False


def _join(folder, name):
    return folder + "/" + name if folder else name


def _aside(disk, path):
    """A free name to set a damaged file aside under."""
    folder, _, name = path.rpartition("/")
    names = disk.list(folder)
    mark, n = ".bad", 1
    while name + mark in names:
        n += 1
        mark = ".%d.bad" % n
    return path + mark


def _newer_text(path, obj):
    if not newer(obj):
        return None
    return "%s is of a newer version (schema %d, this one knows %d): opened to read only" % (
        path, obj["schema"], SCHEMA)
