"""Writes plain values as canonical JSON: the half of file_format.py that only saving needs. Loaded by it for each file.
"""

from micropython import const

_MOST = const(9007199254740991)  # 2**53 - 1: the whole numbers that RFC 8259 section 6 calls interoperable
_ESCAPES = {8: "\\b", 9: "\\t", 10: "\\n", 12: "\\f", 13: "\\r", 34: '\\"', 92: "\\\\"}


def put(out, obj):
    """Append a value in canonical form to a bytearray. Errors: ValueError that names the value."""
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
        put(out, obj[key])
        mark = b","
    out.extend(b"}" if obj else b"{}")


def _put_list(out, obj):
    mark = b"["
    for item in obj:
        out.extend(mark)
        put(out, item)
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
    """A fraction with at most six decimals, and so few digits that the number without its point is below 2**22: there
    single precision still rounds right."""
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
