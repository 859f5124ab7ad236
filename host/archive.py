"""The firmware's archive: one file, /halfstop.mpy, made of all compiled modules and data files of a board.

It begins with the code that reads it, hal/archive.py: that module says how the file is laid out. The code is followed
by the board's name, so that the host can ask for it, and by its own CRC-32.
"""

import ast
import pathlib
import struct
import zlib

from host import Refused

READER = pathlib.Path(__file__).resolve().parent.parent / "hal/archive.py"
BLOCKS = 75  # of 4096 bytes: the most that an archive may take on a Pico
NAME = 16  # bytes for the name of the board


def _numbers():
    """What hal/archive.py says of the layout: {name: number}."""
    return {node.targets[0].id: node.value.args[0].value for node in ast.parse(READER.read_text(encoding="utf-8")).body
            if isinstance(node, ast.Assign) and ast.unparse(node.value).startswith("const(")}


LAYOUT = _numbers()
HEAD, FOLDERS, SLOTS = LAYOUT["_HEAD"], LAYOUT["_FOLDERS"], LAYOUT["_SLOTS"]
FILES = HEAD + FOLDERS + SLOTS * LAYOUT["_ENTRY"] + 4  # where the first file begins
BOARD_AT = HEAD - 4 - NAME  # where the name of the board stands


def make(reader, board, files, seldom=()):
    """The archive: bytes. reader: the compiled hal/archive.py; board: its name; files: {path: bytes}; seldom: paths of
    the modules that are deflated, where that saves a tenth. Errors: Refused where something does not fit."""
    if len(reader) > BOARD_AT:
        raise Refused(f"hal/archive.py takes {len(reader)} bytes, but there is room for {BOARD_AT}: raise its _HEAD")
    at, entries, body = FILES, {}, []
    for path, data in sorted(files.items()):
        shorter, mark = deflated(data) if path in seldom else data, 0
        if len(shorter) < len(data) * 9 // 10:
            data, mark = shorter, LAYOUT["_DEFLATED"]
        entries[path] = at, len(data) | mark
        body.append(sealed(data))
        at += len(body[-1])
    head = reader.ljust(BOARD_AT, b"\0") + board.encode().ljust(NAME, b"\0")
    return b"".join([sealed(head), sealed(folders(files) + table(entries)), *body])


def deflated(data):
    """Bytes as RFC 1951 has them, for a reader with the archive's window."""
    job = zlib.compressobj(9, zlib.DEFLATED, -LAYOUT["_WINDOW"])
    return job.compress(data) + job.flush()


def sealed(data):
    """Bytes and behind them their CRC-32."""
    return data + struct.pack("<I", zlib.crc32(data))


def folders(files):
    """The folders that these files are in, a line each, as the reader is asked for them: a top one with "/" at its end.
    Errors: Refused."""
    found = {parent.as_posix() for path in files for parent in pathlib.PurePosixPath(path).parents} - {"."}
    lines = "".join(f"\n{path if '/' in path else path + '/'}" for path in sorted(found)) + "\n"
    if len(lines) > FOLDERS:
        raise Refused(f"the names of the archive's folders take {len(lines)} bytes: raise _FOLDERS in hal/archive.py")
    return lines.encode().ljust(FOLDERS, b"\0")


def name_of(path):
    """What stands for a path in the table."""
    return zlib.crc32(path.encode()) & LAYOUT["_NAME"]


def table(entries):
    """The table: bytes. entries: {path: (where it begins, its length)}. Errors: Refused."""
    slots = [(0, 0, 0)] * SLOTS
    if len(entries) > SLOTS * 3 // 4:
        raise Refused(f"the archive has {len(entries)} files: raise _SLOTS in hal/archive.py")
    for path, (at, size) in entries.items():
        name = name_of(path)
        if not name or name in (slot[0] for slot in slots):
            raise Refused(f"two files of the firmware have the same CRC-32; give {path} another name")
        place = next(n % SLOTS for n in range(name, name + SLOTS) if not slots[n % SLOTS][0])
        slots[place] = name, at, size
    return b"".join(struct.pack("<III", *slot) for slot in slots)


def board_of(data):
    """The name of the board that an archive is for."""
    return data[BOARD_AT : BOARD_AT + NAME].rstrip(b"\0").decode()
