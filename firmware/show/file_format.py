"""The form of every JSON file: canonical, sealed with a CRC-32. Pure. Called by the safe file layer and by the host's
check.

A file is one JSON object (RFC 8259) and nothing else:

    {"crc":"1a2b3c4d","key":value, ... "schema":1, ...}

Everything after the `crc` member is in the canonical form of RFC 8785: keys sorted by code point, no blanks, UTF-8.
Numbers are whole, or rounded to six decimals and about six digits, which the chips' single floats read back and write
the same. `crc` is eight hex digits, small letters: the CRC-32 (ISO-HDLC, as in zlib and PNG) of the canonical form of
the object without `crc`. So a checker may take the bytes (the CRC of "{" followed by byte 18 to the end of the file) or
the meaning (parse, remove `crc`, write canonically, CRC of that).
"""

import json
from binascii import crc32

from micropython import const

from firmware.parts import once

SCHEMA = 1
STEPS = {}  # STEPS[n](path, obj) -> obj brings a file from schema n to n + 1; the first schema is 1
_HEAD = const(18)  # bytes of {"crc":"1a2b3c4d",


def seal(obj, schema):
    """The bytes of a file: canonical, with the CRC in front. schema: added where obj has none. Errors: ValueError as
    for `encode`."""
    if "schema" not in obj:
        obj = dict(obj)
        obj["schema"] = schema
    out = bytearray(_HEAD - 1)
    _write(out, obj)
    crc = crc32(memoryview(out)[_HEAD - 1 :])
    out[:_HEAD] = b'{"crc":"%08x",' % crc  # its comma takes the place of the object's brace
    return out


def unseal(data):
    """The content of a file from its bytes: (obj, None), or (None, what is wrong with them)."""
    if len(data) < _HEAD + 2 or data[:8] != b'{"crc":"' or data[16:_HEAD] != b'",':
        return None, "is not whole"
    if data[8:16] != b"%08x" % crc32(memoryview(data)[_HEAD:], crc32(b"{")):
        return None, "is damaged (wrong CRC)"
    try:
        obj = json.loads(data)
        del obj["crc"]
    except (ValueError, RuntimeError):  # the latter of CPython, where it is nested too deep
        return None, "is not JSON"
    if not isinstance(obj.get("schema"), int):
        return None, "has no schema number"
    return obj, None


def encode(obj):
    """The canonical JSON of RFC 8785 -> bytearray. Numbers must be within +-(2**53 - 1), and keys text. Errors:
    ValueError that names the value."""
    out = bytearray()
    _write(out, obj)
    return out


def newer(obj):
    """True where the content has a schema that this version does not know: it is to be read only."""
    return obj["schema"] > SCHEMA


def _write(out, obj):
    once("firmware.show.file_encode", "put", out, obj)
