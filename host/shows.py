"""Where a show is that a verb changes: a folder, a backup .zip, or the board. For import, new, remove and status."""

import contextlib
import pathlib

from firmware.show.shelf import Shelf
from firmware.show.show import Show
from host import Refused, backup, check, link, local
from host.board_disk import BoardDisk
from sim.disk import FolderDisk, MemoryDisk

TO = "a show's folder, a backup FILE.zip (FILE.zip:IDENT where it holds several), or IDENT of a show on the board"


@contextlib.contextmanager
def opened(to, port, verb):
    """A show to be changed: firmware/show/show.Show with its rig. to: as TO says. Errors: Refused: there is none, or it
    is damaged; nothing is changed then."""
    path, _, ident = to.partition(".zip:")
    if ident or to.endswith(".zip"):
        with _in_zip(pathlib.Path(path + ".zip" if ident else to), ident) as show:
            yield show
    elif pathlib.Path(to).is_dir():
        folder = pathlib.Path(to).resolve()
        if not (folder / "rig.json").exists() and not (folder / "show.json").exists():
            raise Refused(f"{to} is no show: there is no rig.json or show.json in it")
        yield _sound(Show(FolderDisk(folder.parent), folder.name), to)
    elif "/" in to or "\\" in to or pathlib.Path(to).exists():
        raise Refused(f"{to} is no show's folder, and no backup .zip")
    else:
        with shelf(port, verb) as there:
            _known(to, there.idents(), "on the board")
            yield _sound(Show(there.disk, "shows/" + to), f"{to} on the board")


@contextlib.contextmanager
def shelf(port, verb):
    """The shows of a board: firmware/show/shelf.Shelf; the board starts again at the end. Errors: Refused."""
    with link.opened(port, verb) as one:
        link.who(one)
        there = Shelf(BoardDisk(one))
        there.opened = there.settings["open"]
        try:
            yield there
        except OSError as error:
            if isinstance(error, link.LOST[:2]) or not error.errno or len(error.args) < 2:
                raise
            raise Refused(f"the board: {local.why(error)}") from error


def _sound(show, where):
    show.load_rig()
    if show.faults:
        raise Refused(f"{where} is not in order, nothing was changed: " + "; ".join(map(str, show.faults)))
    return show


def _known(ident, there, where):
    """Errors: Refused: no such show."""
    if ident not in there:
        raise Refused(f"there is no show {ident} {where}; there are: {', '.join(there) or 'none'}")


@contextlib.contextmanager
def _in_zip(path, ident):
    files = check.read_all(path)
    rigs = {name.rpartition("/")[0] for name in files if name.rpartition("/")[2] in ("rig.json", "show.json")}
    names = {folder.rpartition("/")[2] or path.stem: folder for folder in sorted(rigs)}
    if ident:
        _known(ident, names, f"in {path}")
    elif len(names) != 1:
        raise Refused(f"{path} holds these shows: {', '.join(names) or 'none'}. Say which one: --to {path}:IDENT")
    inside = names[ident or next(iter(names))]
    disk = MemoryDisk({f"shows/{name}" if not inside else name: data for name, data in files.items()}, 16 << 20)
    show = _sound(Show(disk, inside or "shows"), path)
    yield show
    changed = {name if inside else name.removeprefix("shows/"): data for name, data in disk.files.items()}
    backup.write_zip(path, {name: data for name, data in changed.items() if name in files or name[-1] not in "~+"})
