"""A pretended NOR flash chip for the MicroPython VM's littlefs: records its steps, dies where it is told.

Runs on the MicroPython VM only.
"""

import vfs

BLOCK = 4096
PROG = 256  # bytes a program, as the RP2 port sets up its littlefs (its _boot.py, from memory)


_GONE = -5  # EIO: what a dead chip answers to a littlefs left in mid-air, and to files the collector closes


class PowerCut(BaseException):
    """The power went. Not an Exception: nothing in the firmware may catch it."""


class Flash:
    """The block device littlefs runs on. `image`: what flash held at power-up; it is not changed.

    steps: programs and erases so far. log: a list to note them in, as (kind, block, offset, data, time).
    left: the step that dies (1: the first), 0: none. half: that step happens by half: its first half is new.
    """

    def __init__(self, image, log=None, left=0, half=False):
        self.image = memoryview(image)
        self.blocks = {}  # block: its bytes, where they differ from the image
        self.steps = 0
        self.dead = False
        self.now = 0
        self._log = log
        self._left = left
        self._half = half

    def readblocks(self, block, buf, off=0):
        if self.dead:
            return _GONE
        changed = self.blocks.get(block)
        if changed is not None:
            buf[:] = memoryview(changed)[off : off + len(buf)]
        else:
            start = block * BLOCK + off
            buf[:] = self.image[start : start + len(buf)]
        return 0

    def writeblocks(self, block, buf, off=0):
        if self.dead:
            return _GONE
        if self._log is not None:
            self._log.append(("p", block, off, bytes(buf), self.now))
        return self._change(block, off, buf)

    def ioctl(self, op, arg):
        if op == 4:
            return len(self.image) // BLOCK
        if op == 5:
            return BLOCK
        if op == 6:
            if self.dead:
                return _GONE
            if self._log is not None:
                self._log.append(("e", arg, 0, None, self.now))
            return self._change(arg, 0, None)
        return 0

    def _change(self, block, off, data):
        self.steps += 1
        self.dead = self.steps == self._left
        if not self.dead or self._half:
            change(self._own(block), off, data, self.dead)
        if self.dead:
            raise PowerCut
        return 0

    def _own(self, block):
        if block not in self.blocks:
            self.blocks[block] = bytearray(self.image[block * BLOCK : block * BLOCK + BLOCK])
        return self.blocks[block]

    def whole(self):
        """What flash holds now: bytearray."""
        out = bytearray(self.image)
        for block, data in self.blocks.items():
            out[block * BLOCK : block * BLOCK + BLOCK] = data
        return out


def change(target, off, data, half):
    """Program (bits only go to 0) or, without data, erase a block; `half`: its first half only."""
    count = BLOCK if data is None else len(data)
    if half:
        count //= 2
    if data is None:
        target[off : off + count] = b"\xff" * count
    elif all_erased(target, off, count):
        target[off : off + count] = memoryview(data)[:count]
    else:
        for i in range(count):
            target[off + i] &= data[i]


def all_erased(target, off, count):
    """True where programming is plain copying."""
    return bytes(memoryview(target)[off : off + count]) == b"\xff" * count


def blank(blocks):
    """A freshly formatted chip: its image."""
    flash = Flash(b"\xff" * (blocks * BLOCK))
    vfs.VfsLfs2.mkfs(flash, progsize=PROG)
    return flash.whole()


def mount(flash, mtime=True):
    """Mount it at /f. mtime: files carry the time of day, as on a board."""
    vfs.mount(vfs.VfsLfs2(flash, progsize=PROG, mtime=mtime), "/f")


def unmount():
    """Take it away again."""
    vfs.umount("/f")
