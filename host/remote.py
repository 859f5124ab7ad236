"""The files on a board over mpremote's raw REPL: list with SHA-256, read, write, move. For flash, backup, restore."""

import ast
import base64
import hashlib
import pathlib

CHUNK = 2048  # bytes a step: as text 2.7 KB, small beside the 48 KB that the app leaves free on an RP2040
_SYNC = 32768  # bytes after which what was written is synced: whole blocks of littlefs

_SURVEY = """
import binascii, hashlib, os
_b = memoryview(bytearray(1024))
def _hash(p):
    h = hashlib.sha256()
    with open(p, 'rb') as f:
        n = f.readinto(_b)
        while n:
            h.update(_b[:n])
            n = f.readinto(_b)
    return binascii.hexlify(h.digest()).decode()
def _walk(d):
    for e in os.ilistdir(d):
        p = d + '/' + e[0] if d else e[0]
        if e[1] & 0x4000: _walk(p)
        else: print(p, os.stat(p)[6], _hash(p))
for _p in %r:
    try:
        if not _p or os.stat(_p)[0] & 0x4000: _walk(_p)
        else: print(_p, os.stat(_p)[6], _hash(_p))
    except OSError: pass
"""
_LIST = """
import os
try: print(os.listdir(%r))
except OSError: print([])
"""
_MKDIR = """
import os
for _d in %r:
    try: os.mkdir(_d)
    except OSError as e:
        if e.errno != 17: raise
"""
_OPEN = "import binascii\n_f = open(%r, %r)\ndef _w(t): _f.write(binascii.a2b_base64(t))"
_READ = "import binascii\n_f = open(%r, 'rb')\ndef _r(): print(binascii.b2a_base64(_f.read(%d)).decode(), end='')"
_MOVE = "import os\nos.rename(%r, %r)"
_REMOVE = "import os\nos.remove(%r)"
_REMOVE_FOLDERS = """
import os
def _rm(d):
    for e in os.ilistdir(d):
        if e[1] & 0x4000: _rm(d + '/' + e[0])
    os.rmdir(d)
for _p in %r:
    try:
        _rm(_p)
        print(_p)
    except OSError: pass
"""


def survey(port, paths):
    """The files at and under paths ("" is the root): {path: (bytes, SHA-256 in hex)}. Errors: link.LOST."""
    said = port.exec(_SURVEY % (tuple(paths),)).decode()
    rows = [line.rsplit(" ", 2) for line in said.splitlines()]
    return {path: (int(size), digest) for path, size, digest in rows}


def names(port, folder):
    """The names in a folder, [] where it is not there. Errors: link.LOST."""
    return ast.literal_eval(port.exec(_LIST % folder).decode().strip())


def digest(data):
    """SHA-256 in hex."""
    return hashlib.sha256(data).hexdigest()


def differs(wanted, have):
    """Files that are not on the board as wanted: {path: bytes}. have: as survey() tells."""
    return {path: data for path, data in wanted.items() if have.get(path, (0, ""))[1] != digest(data)}


def make_folders(port, paths):
    """Make the folders that these files are in."""
    folders = {parent.as_posix() for path in paths for parent in pathlib.PurePosixPath(path).parents}
    port.exec(_MKDIR % (sorted(folders - {"."}),))


def write(port, path, data, show, at=0):
    """Write one file, or go on from byte `at` with one that has these already; its folder is there. What came until the
    cable is pulled is there, to within 32 KB. show(bytes, path) hears the progress."""
    port.exec(_OPEN % (path, "ab" if at else "wb"))
    for begin in range(at, len(data), CHUNK):
        chunk = data[begin : begin + CHUNK]
        port.exec(f"_w({base64.b64encode(chunk)!r})")
        if (begin + CHUNK) % _SYNC == 0:
            port.exec("_f.flush()")
        show(len(chunk), path)
    port.exec("_f.close()")


def read(port, path, size, show):
    """Read one file of so many bytes. show(bytes, path) hears the progress."""
    port.exec(_READ % (path, CHUNK))
    out = b""
    while len(out) < size:
        part = base64.b64decode(port.exec("_r()"))
        if not part:
            break
        out += part
        show(len(part), path)
    port.exec("_f.close()")
    return out


def move(port, old, new):
    """Rename a file or folder."""
    port.exec(_MOVE % (old, new))


def remove(port, path):
    """Delete a file."""
    port.exec(_REMOVE % path)


def remove_folders(port, folders):
    """Delete these folders with the folders in them, where they hold no file -> True if one was."""
    return bool(port.exec(_REMOVE_FOLDERS % (tuple(folders),)))
