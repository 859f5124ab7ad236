"""A disk for the soak: it keeps what lay on it before each write step, can be full, and can fail."""

import errno

from sim.disk import Fuse, MemoryDisk
from sim.littlefs_blocks import used

WRITES = ("write", "append", "rename", "remove", "mkdir")
READS = ("read", "read_part", "reader", "list", "length", "free")
NUMBERS = (errno.EIO, errno.EROFS, errno.EINVAL)


class _Diary(Fuse):
    """Notes what lies on the disk before each step, while `images` is a list. `torn`: in so many steps a file is half
    written, as littlefs never leaves one: that is not noted."""

    def __init__(self, disk):
        super().__init__()
        self.disk, self.images, self.torn = disk, None, 0

    def step(self):
        super().step()
        self.torn -= 1
        if self.images is not None and self.torn:
            self.images.append((dict(self.disk.files), set(self.disk.folders)))


class Disk(MemoryDisk):
    """`refused`: a verb has failed since it was last set False. `broken`: {verb: error number}, `odds`: a verb of
    these fails where dice() is below it."""

    def __init__(self, files, dice):
        super().__init__(files)
        self._fuse = _Diary(self)
        self._dice = dice
        self.whole = self.size
        self.mend()
        self.refused = False

    def note(self, on):
        """Note the steps from now on, or stop that -> the images noted: [(files, folders)]."""
        images, self._fuse.images = self._fuse.images, [] if on else None
        return images or []

    def put(self, image):
        """Have this on the disk."""
        self.files, self.folders = dict(image[0]), set(image[1])

    def restore(self, files, folder):
        """Have a folder as it is among these files."""
        rest = MemoryDisk(files)
        mine = {folder} | {path for path in rest.folders if path.startswith(folder + "/")}
        self.files = {path: data for path, data in self.files.items() if not path.startswith(folder + "/")}
        self.files |= {path: data for path, data in files.items() if path.startswith(folder + "/")}
        self.folders = {path for path in self.folders if not path.startswith(folder + "/")} | mine

    def image(self):
        """What is on the disk."""
        return dict(self.files), set(self.folders)

    def _put(self, path, start, data):
        self._fuse.torn = 2 if start else 3  # MemoryDisk's steps: nothing (where it is new), half, all
        super()._put(path, start, data)

    def fill(self, blocks):
        """Leave so many blocks free, until mend()."""
        self.size = min(self.whole, (used(*self._there()) + blocks) * 4096)

    def fail(self, verbs, number, odds):
        """Let verbs fail, until mend()."""
        self.broken, self.odds = dict.fromkeys(verbs, number), odds

    def mend(self):
        """It has room and does not fail."""
        self.size, self.broken, self.odds = self.whole, {}, 0


def _guarded(verb):
    def call(self, *args):
        try:
            if verb in self.broken and self._dice() < self.odds:
                raise OSError(self.broken[verb], args[0] if args else "")
            return getattr(MemoryDisk, verb)(self, *args)
        except OSError as error:
            self.refused = self.refused or error.errno not in (errno.ENOENT, errno.EEXIST)
            raise

    return call


for _verb in WRITES + READS:
    setattr(Disk, _verb, _guarded(_verb))
