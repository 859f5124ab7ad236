"""Writes plain values as canonical JSON: the half of file_format.py that only saving needs. Loaded by it for each file.

It does not call itself for what lies in a list or an object: a save comes from deep within a gesture, and the stack of
an RP2040 has 8 KB, of which a call takes a quarter of one.
"""

from micropython import const

_MOST = const(9007199254740991)  # 2**53 - 1: the whole numbers that RFC 8259 section 6 calls interoperable
_ESCAPES = {8: "\\b", 9: "\\t", 10: "\\n", 12: "\\f", 13: "\\r", 34: '\\"', 92: "\\\\"}


def put(out, obj):
    """Append a value in canonical form to a bytearray. Errors: ValueError that names the value."""
    within = []  # of each list and object that the value lies in: what is to come of it, and itself
    while True:
        if isinstance(obj, (dict, list, tuple)):
            keyed = isinstance(obj, dict)
            out.extend(b"{" if keyed else b"[")
            within.append((iter(sorted(obj) if keyed else obj), obj))
        else:
            _put_plain(out, obj)
        obj = _next(out, within)
        if not within:
            return


def _next(out, within):
    """Append what stands before the value that comes next -> that value. Where `within` is empty then, none comes."""
    while within:
        coming, holder = within[-1]
        keyed = isinstance(holder, dict)
        for item in coming:
            if out[-1] not in b"{[":
                out.extend(b",")
            if not keyed:
                return item
            if not isinstance(item, str):
                raise ValueError("a key is text, not %r" % (item,))
            _put_text(out, item)
            out.extend(b":")
            return holder[item]
        out.extend(b"}" if keyed else b"]")
        within.pop()
    return None


def _put_plain(out, obj):
    if isinstance(obj, str):
        _put_text(out, obj)
    elif obj is None or obj is True or obj is False:
        out.extend(b"null" if obj is None else b"true" if obj else b"false")
    elif isinstance(obj, int) and -_MOST <= obj <= _MOST:
        out.extend(str(obj).encode())
    elif isinstance(obj, float) and -_MOST <= obj <= _MOST:
        out.extend(_decimal(obj).encode())
    else:
        raise ValueError("a file holds numbers, text, true, false, null, lists and objects, not %r" % (obj,))


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
