"""What every part of the safe file layer needs: error numbers, the reserve, and the simplest calls of the disk."""

from errno import ENOENT

from firmware.show.file_format import unseal

TRASH = "trash"  # the folder where deleted shows wait
UNREAD = "cannot be read (error %d)"
EROFS, ENOSPC = 30, 28  # MicroPython's errno module lacks these two
BLOCK = 4096  # bytes: the flash sector of the boards, and littlefs's block
# Bytes left free: two blocks, since a littlefs that is full to the brim cannot even rename or delete, and the five of a
# part of the log of looks, which is copied before it is deleted (looks_compact.py).
RESERVE = 7 * BLOCK


def join(folder, name):
    """The path of a name in a folder; the folder "" is the root."""
    return folder + "/" + name if folder else name


def read(disk, path):
    """The content of a sealed file: (obj, None), (None, what is wrong with it), or (None, None) where there is no such
    file. Changes nothing on the disk."""
    data, why = read_bytes(disk, path)
    return (None, why) if data is None else unseal(data)


def read_bytes(disk, path):
    """The bytes of a file: (bytes, None), (None, why flash does not give them), or (None, None) where there is no such
    file."""
    for _ in range(2):  # flash may fail once
        try:
            return disk.read(path), None
        except OSError as error:
            if error.errno == ENOENT:
                return None, None
            why = UNREAD % error.errno
    return None, why


def names(disk, folder):
    """The names in a folder, [] where there is none. Errors: OSError, with words: flash does not give them."""
    for _ in range(2):  # it may fail once
        try:
            return disk.list(folder)
        except OSError as error:
            number = error.errno
    raise OSError(number, "%s cannot be listed (error %d)" % (folder or "The flash", number))


def delete(disk, path):
    """Delete a file -> True where there was one. A full disk may refuse: then the next boot deletes it."""
    try:
        disk.remove(path)
        return True
    except OSError as error:
        if error.errno not in (ENOENT, ENOSPC):
            raise
        return False


def drop(disk, path):
    """Delete a file of which nothing depends, where the disk lets that be done."""
    try:
        disk.remove(path)
    except OSError:
        pass


def free_bad_name(disk, path):
    """A path that is free to set a damaged file aside under."""
    folder, _, name = path.rpartition("/")
    names = disk.list(folder)
    mark, n = ".bad", 1
    while name + mark in names:
        n += 1
        mark = ".%d.bad" % n
    return path + mark
