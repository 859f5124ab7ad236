"""Reads raw channels and raw slots of a look, which few have. Loaded by look_record.py for each look with any."""

import struct


def add(out, content, at):
    """Put them into {uid: light}; raw slots under 0. at: where they begin (look_record.py)."""
    (count,) = struct.unpack_from("<H", content, at)
    at += 2
    names = []
    for _ in range(count):
        names.append(str(content[at + 1:at + 1 + content[at]], "utf-8"))
        at += 1 + content[at]
    (count,) = struct.unpack_from("<H", content, at)
    at += 2
    for _ in range(count):
        uid, name, value = struct.unpack_from("<HHH", content, at)
        out[uid][-1][names[name]] = value
        at += 6
    (count,) = struct.unpack_from("<H", content, at)
    at += 2
    if count:
        out[0] = []
    for _ in range(count):
        first, many = struct.unpack_from("<HH", content, at)
        out[0].append([first] + list(content[at + 4:at + 4 + many]))
        at += 4 + many
