"""Files of this computer, for verbs that talk to a board at the same time: what fails here is not the board's fault."""

import contextlib
import errno
import os
import pathlib

from host import Refused

_WHAT = {
    errno.ENOENT: "there is no such file or folder",
    errno.ENOSPC: "the disk is full: make room and run this again",
    errno.EDQUOT: "your share of the disk is used up: make room and run this again",
    errno.EACCES: "you may not do that there: name a place that is yours, or change its permissions",
    errno.EPERM: "you may not do that there: name a place that is yours, or change its permissions",
    errno.EROFS: "that disk can only be read: name another place",
    errno.EISDIR: "is a folder, not a file",
    errno.ENOTDIR: "a part of that path is a file, not a folder",
    errno.EEXIST: "is there already",
    errno.ENAMETOOLONG: "that name is too long",
}


def why(error, path=None):
    """An OSError of a file as a person reads it: "PATH: what is wrong and what to do"."""
    said = _WHAT.get(error.errno) or error.strerror or str(error) or type(error).__name__
    return ": ".join(str(part) for part in (path or error.filename, said) if part)


@contextlib.contextmanager
def at(path):
    """Work with a file or folder of this computer. Errors: Refused in place of OSError, naming the path."""
    try:
        yield
    except OSError as error:
        raise Refused(why(error, path)) from error


def folder(path):
    """A folder to write into, made where it is missing: pathlib.Path. Errors: Refused: a file, or it cannot be made."""
    path = pathlib.Path(path)
    if path.exists() and not path.is_dir():
        raise Refused(f"{path} is a file, but files are to be written into it: name a folder")
    with at(path):
        path.mkdir(parents=True, exist_ok=True)
    return path


def read(path):
    """The bytes of a file. Errors: Refused: missing, a folder, not readable."""
    with at(path):
        return pathlib.Path(path).read_bytes()


def write(path, text):
    """Write text as UTF-8. Errors: Refused."""
    with at(path):
        pathlib.Path(path).write_text(text, encoding="utf-8")


def new_file(path, replace=False):
    """A file to write, in a folder that is there, asked about before a long job: pathlib.Path. Errors: Refused."""
    path = pathlib.Path(path)
    if path.is_dir():
        raise Refused(f"{path} is a folder; name a file in it, such as {path / 'halfstop.zip'}")
    if path.exists() and not replace:
        raise Refused(f"{path} is there already. Name another file, or add --replace.")
    if not path.parent.is_dir():
        raise Refused(f"{path}: there is no folder {path.parent} to write it into. Make it first, or name another.")
    if not os.access(path.parent, os.W_OK | os.X_OK):
        raise Refused(f"{path}: you may not write into the folder {path.parent.resolve()}: name a place that is yours.")
    return path
