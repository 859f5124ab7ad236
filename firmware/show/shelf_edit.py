"""What the pages do with whole shows: make, copy, rename, delete, put back. Loaded by shelf.py and the pages for each
call."""

from firmware.show import file_disk, file_store, file_write, flash_room
from firmware.show.show import NONE, SHOWS

FIRST = "Show 1"
NAME_MOST = 24
_EMPTY = 8192  # bytes an empty show takes: two blocks of littlefs


def new(shelf, name):
    """Make an empty show -> its ident. Errors: ValueError: a bad name; OSError(ENOSPC): nothing has changed."""
    return _make(shelf, name, None)


def copy(shelf, ident, name):
    """Copy a show under another name -> the ident of the copy. Errors: as `new`."""
    return _make(shelf, name, ident)


def first(shelf):
    """Make the first show of a device -> its ident, or one that no show has where the disk has no room; then it cannot
    be changed."""
    try:
        return new(shelf, FIRST)
    except OSError as error:
        shelf.faults.append(str(error.args[-1]))
        return NONE


def rename(shelf, ident, name):
    """Give a show another name. Errors: as `new`."""
    _save_name(shelf, SHOWS + "/" + ident, name)


def remove(shelf, ident):
    """Delete a show. `put_back` undoes it until the next power-up, while its room is not needed. Errors: ValueError: it
    is the open one."""
    if ident == shelf.opened:
        raise ValueError("%s is open. Open another show, then delete it" % shelf.name(ident))
    shelf.deleted.append((discard(shelf, ident), ident))


def can_put_back(shelf):
    """The ident of the last deleted show that can come back, or None."""
    trash = shelf.disk.list(file_disk.TRASH)
    while shelf.deleted and shelf.deleted[-1][0] + "/" not in trash:
        shelf.deleted.pop()
    return shelf.deleted[-1][1] if shelf.deleted else None


def free(shelf):
    """(bytes that can be used, bytes in all). What deleted shows and last good copies take counts as used, though it is
    given up where room is short."""
    left, total = shelf.disk.free()
    return max(0, left - file_disk.RESERVE), total


def _make(shelf, name, source):
    """Make a show, empty or a copy of the show `source` -> its ident."""
    name = good_name(name)
    ident = _free(shelf.disk, _slug(name), SHOWS)
    building = SHOWS + "/" + ident + "+"
    need = _EMPTY
    if source:
        need += flash_room.total(shelf.disk, SHOWS + "/" + source) * file_disk.BLOCK
    file_write.with_room(shelf.disk, name, need, file_disk.RESERVE, lambda: True)
    file_write.make_folder(shelf.disk, building)
    try:
        if source:
            _fill(shelf.disk, SHOWS + "/" + source, building)
        _save_name(shelf, building, name)
    except OSError:
        discard(shelf, ident + "+")
        raise
    shelf.disk.rename(building, SHOWS + "/" + ident)
    return ident


def _save_name(shelf, folder, name):
    file_store.save(shelf.disk, folder + "/show.json", {"name": good_name(name)})


def discard(shelf, ident):
    """Move a show's folder to the trash -> its name there."""
    folder = _free(shelf.disk, ident.rstrip("+"), file_disk.TRASH)
    shelf.disk.rename(SHOWS + "/" + ident, file_disk.TRASH + "/" + folder)
    return folder


def finish(shelf, ident):
    """Let a whole show, whose ident here ends in '=', take its place. The one that was there goes to the trash."""
    if ident[:-1] + "/" in shelf.disk.list(SHOWS):
        discard(shelf, ident[:-1])
    shelf.disk.rename(SHOWS + "/" + ident, SHOWS + "/" + ident[:-1])


def put_back(shelf):
    """Undo the last `remove` -> the show's ident. Errors: ValueError: there is none, or its room was needed."""
    if can_put_back(shelf) is None:
        raise ValueError("No deleted show can come back: none, or its room was needed")
    folder, ident = shelf.deleted.pop()
    ident = _free(shelf.disk, ident, SHOWS)
    shelf.disk.rename(file_disk.TRASH + "/" + folder, SHOWS + "/" + ident)
    return ident


def good_name(name):
    """A show's name without outer blanks. Errors: ValueError: it is empty or too long."""
    name = name.strip()
    if not name:
        raise ValueError("A show needs a name")
    if len(name) > NAME_MOST:
        raise ValueError("Name too long: %d letters, can be %d" % (len(name), NAME_MOST))
    return name


def _fill(disk, source, target):
    """Copy the files of a folder, without old copies and what a power cut left. Errors: OSError(ENOSPC)."""
    for name in disk.list(source):
        a, b = source + "/" + name, target + "/" + name
        if name[-1] == "/":
            disk.mkdir(b[:-1])
            _fill(disk, a[:-1], b[:-1])
        elif name[-1] not in "~+":
            file_write.put(disk, b, disk.read(a), file_disk.RESERVE)


def _free(disk, ident, folder):
    """`ident`, or ident with the first number behind it that no name in a folder has."""
    names = disk.list(folder)
    new, n = ident, 2
    while new + "/" in names or new + "+/" in names or new + "=/" in names:
        new, n = "%s-%d" % (ident, n), n + 1
    return new


def _slug(name):
    """A folder name for any computer: a-z, 0-9 and '-'."""
    letters = [c if "a" <= c <= "z" or "0" <= c <= "9" else " " for c in name.lower()]
    return "-".join("".join(letters).split()) or "show"
