"""A stand-in for a board: the real unix MicroPython VM on a pty, its files on a real littlefs in a host file.

The VM speaks raw REPL itself, so mpremote talks to it as to a board. A soft reset ends the process; a new one
is started and runs main.py, as a board does. Only the name of the machine is made up.
"""

import os
import pathlib
import select
import signal
import subprocess
import termios
import threading
import tty

from host import link, remote
from tests import littlefs_files

ROOT = pathlib.Path(__file__).parents[2]
VM = ROOT / ".venv/bin/micropython"

# What stands before the REPL: a littlefs in a file at the root, as a board has it; another machine's name.
_PRELUDE = '''
import sys, os, vfs
class Blocks:
    def __init__(self, path, count, cut):
        self.file = open(path, "r+b"); self.count = count; self.left = cut
    def readblocks(self, n, buf, off=0):
        self.file.seek(n * 4096 + off); self.file.readinto(buf)
    def writeblocks(self, n, buf, off=None):
        self.left -= 1
        if self.left == 0:
            os.system("kill -9 $PPID")
        self.file.seek(n * 4096 + (off or 0)); self.file.write(buf); self.file.flush()
    def ioctl(self, op, arg):
        return self.count if op == 4 else 4096 if op == 5 else 0
class Impl: pass
class Sys:
    implementation = Impl()
    modules = sys.modules; path = sys.path; stdin = sys.stdin; stdout = sys.stdout; exit = sys.exit
for k in ("name", "version", "_mpy"): setattr(Impl, k, getattr(sys.implementation, k))
for k, v in {fakes}.items(): setattr(Impl, k, v)
b = Blocks({path!r}, {blocks}, {cut})
try:
    fs = vfs.VfsLfs2(b)
except OSError:
    vfs.VfsLfs2.mkfs(b); fs = vfs.VfsLfs2(b)
vfs.umount("/")
vfs.mount(fs, "/")
sys.path[:] = [""]
sys.modules["sys"] = Sys
del b, fs, Blocks, Impl, Sys, k, v, vfs, sys  # but os, for Blocks
if "main.py" in os.listdir():
    try:
        exec(open("main.py").read())
    except SystemExit:  # a board makes a soft reset of it
        os.system("kill $PPID")
'''


class VmBoard:
    """Start with `with VmBoard(folder) as board`; give `board.port` to --port.

    machine: the name it tells; blocks: its flash in blocks of 4096 bytes; mpy, version, name: what it tells
    of itself in place of the truth. `board.cut_after = n` makes it vanish after n bytes from the host; cut_write: it
    loses its power in place of the nth write to its flash."""

    def __init__(self, folder, machine="Invented board with RP2040", blocks=256, cut_write=0, **fakes):
        self.image = pathlib.Path(folder) / "flash.img"
        self.blocks = blocks
        self.fakes = {"_machine": machine, **{"_mpy" if k == "mpy" else k: v for k, v in fakes.items()}}
        if not self.image.exists():
            self.image.write_bytes(b"\xff" * 4096 * blocks)
        self.heard = 0  # bytes from the host
        self.cut_after = None
        self._cut_write = cut_write

    def __enter__(self):
        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        self.port = os.ttyname(self._slave)
        self._alive = True
        self._spawn()
        self._thread = threading.Thread(target=self._carry, daemon=True)
        self._thread.start()
        return self

    def __exit__(self, *_):
        self.unplug()
        self._thread.join(5)
        for handle in (self._master, self._slave):
            if handle is not None:
                os.close(handle)

    def unplug(self):
        """Power off in mid-whatever."""
        self._alive = False
        self._child.kill()
        self._child.wait()

    def files(self):
        """Every file on its flash, read by littlefs-python: {path: bytes}."""
        return littlefs_files.files(self._mounted())

    def folders(self):
        """Every folder on its flash."""
        return [(folder.rstrip("/") + "/" + name).lstrip("/") for folder, names, _ in self._mounted().walk("/")
                for name in names]

    def _mounted(self):
        from littlefs import LittleFS, UserContext

        class Image(UserContext):
            def __init__(self, data):
                self.buffer = bytearray(data)

        return LittleFS(context=Image(self.image.read_bytes()), block_size=4096, block_count=self.blocks,
                        read_size=128, prog_size=32, lookahead_size=32, mount=True)

    def _spawn(self):
        prelude = self.image.with_name("prelude.py")
        prelude.write_text(_PRELUDE.format(fakes=self.fakes, path=str(self.image), blocks=self.blocks,
                                            cut=self._cut_write))
        self._cut_write = 0
        self._inner, theirs = os.openpty()
        tty.setraw(theirs)
        command = [VM, "-X", "heapsize=300k", "-i", prelude]
        ends = {"stdin": theirs, "stdout": theirs, "stderr": theirs}
        self._child = subprocess.Popen(command, start_new_session=True, **ends)
        os.close(theirs)

    def _carry(self):
        while self._alive:
            ready = select.select([self._master, self._inner], [], [], 0.05)[0]
            if self._master in ready:
                self._to_vm(os.read(self._master, 4096))
            if self._inner in ready:
                self._from_vm()
        self._hang_up()

    def _to_vm(self, data):
        self.heard += len(data)
        if self.cut_after is not None and self.heard >= self.cut_after:
            self.unplug()
        else:
            os.write(self._inner, data)

    def _from_vm(self):
        try:
            os.write(self._master, os.read(self._inner, 4096))
        except OSError:  # the child has closed its end: it has ended
            if self._child.wait() == -signal.SIGKILL:
                self._alive = False
            elif self._alive:
                self._restart()

    def _restart(self):
        os.close(self._inner)
        os.write(self._master, b"MPY: soft reboot\r\n")
        self._spawn()

    def _hang_up(self):
        """Closing both ends makes the host's reads and writes fail, as a pulled cable does."""
        os.close(self._inner)
        termios.tcflush(self._slave, termios.TCIOFLUSH)
        os.close(self._slave)
        os.close(self._master)
        self._master = self._slave = None


def put(board, files):
    """Put files on the board through the REPL, as a device would have them: {path: bytes}."""
    with link.opened(board.port, "load") as port:
        remote.make_folders(port, files)
        for path, data in files.items():
            remote.write(port, path, data, lambda *_: None)
