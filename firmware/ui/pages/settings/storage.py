"""What the flash is used for, in blocks as they are. Opened by Settings."""

from firmware.show import file_disk, flash_room
from firmware.ui.frame.list_page import ListPage

_FREE = "Free"
_A_STEP = 4  # files counted in a step of the page: each takes some ms


class Page(ListPage):
    """The rows fill while the files are counted."""

    title = "Storage"
    parent = "settings"
    items = flash_room.NAMES + (_FREE,)
    hints = (("back", "Settings"),)

    def __init__(self, app):
        ListPage.__init__(self, app)
        disk = app.board.disk
        left, size = disk.free()
        self.free = max(0, left - file_disk.RESERVE) // file_disk.BLOCK
        self.size = size // file_disk.BLOCK
        self.used = self.size - left // file_disk.BLOCK
        self.taken = [0] * len(flash_room.NAMES)
        self._count = flash_room.count(disk, self.taken)

    def step(self, now):
        """Count some more files; what no file has is the file system's own, and the reserve."""
        if self._count is None:
            return
        for _ in range(_A_STEP):
            try:
                next(self._count)
            except StopIteration:
                self._count = None
                self.taken[flash_room.OTHER] += self.size - self.free - sum(self.taken)
                break
        self.app.screen.touch()

    def row(self, item):
        if item == _FREE:
            return item, "%d of %d blocks" % (self.free, self.size)
        blocks = self.taken[self.items.index(item)]
        return item, "%d" % blocks if self._count is None else "..."
