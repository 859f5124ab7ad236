"""The copy of the tree that is changed: build/mutants/tree. It stays from run to run, with what Python and the VM's
tests have compiled in it, since most of a run's time once went into compiling.
"""

import contextlib
import os
import shutil

from tests.mutants import areas

ROOT = areas.ROOT / "build" / "mutants" / "tree"
_NOT = {"build", ".venv", ".git", "__pycache__", "dist"}
_LINKS = ("build/npm", ".venv")
_MADE = "build/vm"  # what tests compile of the program, known to be old by the sources' times


def renew():
    """Have there what is in the real one, files of the same content left alone -> its root. Where one is not the same,
    what was compiled may be of a change that was stopped in the middle."""
    wanted = dict(_files(areas.ROOT))
    for name, path in list(_files(ROOT)) if ROOT.exists() else ():
        if name not in wanted:
            path.unlink()
    for name, path in wanted.items():
        there = ROOT / name
        if not there.exists() or there.read_bytes() != path.read_bytes():
            there.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(path, there)
            shutil.rmtree(ROOT / _MADE, ignore_errors=True)
    (ROOT / "build").mkdir(exist_ok=True)
    for name in _LINKS:
        if (areas.ROOT / name).exists() and not (ROOT / name).exists():
            (ROOT / name).symlink_to((areas.ROOT / name).resolve())
    return ROOT


def _files(top):
    for folder, folders, names in os.walk(top):
        folders[:] = [name for name in folders if name not in _NOT and not os.path.islink(os.path.join(folder, name))]
        for name in names:
            path = areas.pathlib.Path(folder) / name
            if path.is_file():
                yield path.relative_to(top).as_posix(), path


@contextlib.contextmanager
def changed(path, text):
    """A source with another text for as long as it lasts. After it all is as before, times too, else what was compiled
    of the old text would be compiled again, or what was compiled of the new would be taken for it."""
    file = ROOT / path
    old, told = file.read_bytes(), file.stat()
    made = {one: (one.read_bytes(), one.stat()) for one in _compiled()}
    file.write_text(text)
    try:
        yield
    finally:
        _restore(file, old, told)
        for one in _compiled():
            if one not in made:
                one.unlink()
            elif one.stat().st_mtime_ns != made[one][1].st_mtime_ns:
                _restore(one, *made[one])
        for one in set(made) - set(_compiled()):
            one.parent.mkdir(parents=True, exist_ok=True)
            _restore(one, *made[one])


def _compiled():
    return [path for path in (ROOT / _MADE).rglob("*") if path.is_file()]


def _restore(file, data, told):
    file.write_bytes(data)
    os.utime(file, ns=(told.st_atime_ns, told.st_mtime_ns))
