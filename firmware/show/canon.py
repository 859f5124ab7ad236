"""The form of every JSON file: canonical, sealed with a CRC-32. Pure; called by keep and by the host's check.

A file is one JSON object (RFC 8259) and nothing else:

    {"crc":"1a2b3c4d","key":value, ... "schema":1, ...}

Everything after the `crc` member is in the canonical form of RFC 8785: keys sorted by code point, no
blanks, UTF-8. Numbers are whole, or rounded to six decimals and about six digits, which the chips' single
floats read back and write the same. `crc` is eight hex digits, small letters: the CRC-32 (ISO-HDLC, as in
zlib and PNG) of the canonical form of the object without `crc`. So a checker may take the bytes (CRC of "{"
followed by byte 18 to the end of the file) or the meaning (parse, drop `crc`, write canonically, CRC of
that).
"""

import json
from binascii import crc32

from micropython import const

_HEAD = const(18)  # bytes of {"crc":"1a2b3c4d",
_MOST = const(9007199254740991)  # 2**53 - 1: the whole numbers that RFC 8259 section 6 calls interoperable
_ESCAPES = {8: "\\b", 9: "\\t", 10: "\\n", 12: "\\f", 13: "\\r", 34: '\\"', 92: "\\\\"}


def seal(obj, schema):
    """The bytes of the file: canonical, the CRC in front; `schema` is added where obj has none.
    Errors: ValueError as for `encode`."""
    if "schema" not in obj:
        obj = dict(obj)
        obj["schema"] = schema
    out = bytearray(_HEAD - 1)
    _put(out, obj)
    crc = crc32(memoryview(out)[_HEAD - 1 :])
    out[:_HEAD] = b'{"crc":"%08x",' % crc  # its comma takes the place of the object's brace
    return out


def unseal(data):
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
