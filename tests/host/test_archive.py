"""The firmware's archive: what host/archive.py makes, the real MicroPython VM reads by hal/archive.py; and what it does
when a bit of it is wrong."""

import ast
import os
import random
import struct
import subprocess
import sys
import zlib

import pytest
from littlefs import LittleFS

import boards
from host import Refused, archive, pack
from tests.host.vm_board import VM

pytestmark = pytest.mark.skipif(not VM.exists(), reason="the unix MicroPython VM is not installed")
MAIN = '''
def run():
    from firmware import small
    print("halfstop", small.A, open("boards/board.txt").read())
'''
# A board's file system is mounted at "/"; here that is a folder.
ROOTED = "import vfs\nvfs.umount('/')\nvfs.mount(vfs.VfsPosix({!r}), '/')\nimport sys\nsys.path[:] = ['']\n"
SELDOM = {"firmware/small.mpy", "firmware/unused.mpy"}  # deflated
START = "exec(open('main.py').read())\n"


def small(version, folder):
    """The archive of a firmware of a few lines: bytes."""
    made = {"boards/board.txt": b"pico_tft", "firmware/data.bin": bytes(range(256)) * 5}
    long = f"A = {version}\nB = '" + "long " * 20 + "'\n"
    for name, text in {"firmware/main": MAIN, "firmware/small": long, "firmware/deep/er": "B = 2\n",
                       "firmware/unused": "T = (" + "'words',  " * 400 + ")\n", "hal/rp2/make": "C = 3\n",
                       "f/flat": "from array import array\nD = array('B', b'4')[0]\n"}.items():
        source = folder / "source.py"
        source.write_text(text)
        made[name + ".mpy"] = pack.compile_one(name + ".py", source, "x64")
    return archive.make(pack.reader(), "pico_tft", made, SELDOM), made


@pytest.fixture
def disk(tmp_path):
    """A folder as a board's disk, with such a firmware: (the folder, the files in its archive)."""
    folder = tmp_path / "disk"
    folder.mkdir()
    data, files = small(1, tmp_path)
    (folder / "main.py").write_bytes(pack.MAIN)
    (folder / "halfstop.mpy").write_bytes(data)
    return folder, files


def vm(folder, code, heap="1m"):
    """What the VM says when it runs code with this folder as its disk."""
    done = subprocess.run([VM, "-X", "heapsize=" + heap, "-c", ROOTED.format(str(folder)) + code], capture_output=True,
                          text=True, timeout=60, check=False, cwd=folder)
    return done.stdout + done.stderr


def test_a_firmware_starts_from_its_archive(disk):
    assert vm(disk[0], START) == "halfstop 1 pico_tft\n"


def test_every_file_is_read_as_it_was_packed(disk):
    """Modules by the reader that import uses, in its pieces, and deflated ones inflated; data as a file."""
    folder, files = disk
    code = """
import halfstop
def folder(name):
    f = halfstop.Folder()
    f.name = name
    return f
def read(path):
    top, _, rest = path.partition('/')
    f = folder(top).open('/' + rest, 'rb')
    if not path.endswith('.mpy'):
        return f.read()
    out, b = b'', bytearray(f.ioctl(11, 0) if path not in %r else 15)
    while True:
        n = f.readinto(b)
        out += b[:n]
        if n < len(b):
            return out
for path in %r:
    print(path, read(path).hex())
""" % (SELDOM, sorted(files))
    told = dict(line.split(" ") for line in vm(folder, code).splitlines())
    assert {path: bytes.fromhex(data) for path, data in told.items()} == files


LITTLEFS = """
import os, sys, vfs
data = open('/halfstop.mpy', 'rb').read()
class Flash:
    blocks = bytearray(352 * 4096)
    def readblocks(self, n, buf, off=0):
        buf[:] = memoryview(self.blocks)[n * 4096 + off:n * 4096 + off + len(buf)]
    def writeblocks(self, n, buf, off=0):
        self.blocks[n * 4096 + off:n * 4096 + off + len(buf)] = buf
    def ioctl(self, op, arg):
        return 352 if op == 4 else 4096 if op == 5 else 0
vfs.umount('/')
vfs.VfsLfs2.mkfs(Flash())
vfs.mount(vfs.VfsLfs2(Flash()), '/')
with open('/halfstop.mpy', 'wb') as file:
    file.write(data)
os.mkdir('/shows')
import halfstop
print(os.listdir('/'))
from hal.disk import Disk
print(Disk().list(), Disk().list('shows'))
"""


def test_the_disk_does_not_list_what_is_mounted(tmp_path):
    """On littlefs, as on a board; a walk over all files would otherwise come into the archive."""
    (tmp_path / "disk").mkdir()
    made = {"boards/board.txt": b"pico_tft", "firmware/one.txt": b"1",
            "hal/disk.mpy": pack.compile_one("hal/disk.py", pack.ROOT / "hal/disk.py", "x64")}
    (tmp_path / "disk/halfstop.mpy").write_bytes(archive.make(pack.reader(), "pico_tft", made))
    said = vm(tmp_path / "disk", LITTLEFS, "4m")
    assert "Traceback" not in said, said
    mounted, listed = said.splitlines()
    assert {"f", "firmware", "hal", "boards"} <= set(ast.literal_eval(mounted))
    assert listed == "['halfstop.mpy', 'shows/'] []"


def test_a_short_name_has_no_folder_and_what_micropython_has_is_not_searched_for(disk):
    code = """
import sys, halfstop
import flat, hal.rp2.make
print(flat.D, flat.__file__, hal.rp2.make.C, sys.path)
print([name for name in ('array', 'struct', 'binascii', 'io', 'json', 'time') if name not in sys.modules])
"""
    assert vm(disk[0], code).splitlines() == ["52 /f/flat.mpy 3 ['/f', '']", "[]"]


def test_what_is_not_there_and_what_cannot_be_written(disk):
    code = """
import os, halfstop
print(halfstop.run('firmware.main'))
for path in ('firmware', 'firmware/deep', 'firmware/main.mpy', 'hal/rp2'):
    print(os.stat(path)[0])
for act in (lambda: os.stat('firmware/none.mpy'), lambda: os.stat('hal/rp2.py'), lambda: open('firmware/none.bin'),
            lambda: open('firmware/data.bin', 'wb')):
    try: act()
    except OSError as e: print(e.errno)
print(open('boards/board.txt').read(), open('firmware/data.bin', 'rb').read() == bytes(range(256)) * 5)
"""
    assert vm(disk[0], code).splitlines() == ["halfstop 1 pico_tft", "[]", str(0x4000), str(0x4000), str(0x8000),
                                              str(0x4000), "2", "2", "2", "30", "pico_tft True"]


def parts(data, files):
    """Where what lies in an archive: {name: range of bytes}."""
    at = archive.FILES
    out = {"its head": range(archive.HEAD), "its table": range(archive.HEAD, at)}
    for path, part in sorted(files.items()):
        length = len(archive.deflated(part) if path in SELDOM else part) + 4
        out[path] = range(at, at + length)
        at += length
    assert at == len(data)
    return out


def flipped(data, bit):
    """The same bytes with one bit wrong."""
    out = bytearray(data)
    out[bit // 8] ^= 1 << bit % 8
    return bytes(out)


def test_a_wrong_bit_is_named_wherever_it_is(disk):
    """In the code, the table, a module or data that are needed: one line that names it, and what to do. Elsewhere the
    firmware starts as ever. Never a traceback, and the VM never falls over what it loaded."""
    folder, files = disk
    data, chance = (folder / "halfstop.mpy").read_bytes(), random.Random(16)
    for name, place in parts(data, files).items():
        needed = name in ("its head", "its table", "firmware/main.mpy", "firmware/small.mpy", "boards/board.txt")
        damaged = f"halfstop: the firmware on the board is damaged in {name}\nrun halfstop flash\n"
        for _ in range(12):
            bit = chance.randrange(place.start * 8, place.stop * 8)
            (folder / "halfstop.mpy").write_bytes(flipped(data, bit))
            assert vm(folder, START) == (damaged if needed else "halfstop 1 pico_tft\n"), (name, bit)


def test_a_damaged_part_that_is_needed_later_is_named_to_the_user(disk):
    """The app says an OSError's words and goes on (app_loop.py, and tests/ui)."""
    folder, files = disk
    data = (folder / "halfstop.mpy").read_bytes()
    (folder / "halfstop.mpy").write_bytes(flipped(data, parts(data, files)["firmware/unused.mpy"].start * 8 + 100))
    code = START + "try:\n    from firmware import unused\nexcept OSError as e:\n    print(e.errno, e.args[-1])\n"
    assert vm(folder, code).splitlines()[1:] == [
        "5 the firmware is damaged in firmware/unused.mpy: run halfstop flash"]


@pytest.mark.parametrize("what", ["head", "module", "missing"])
def test_the_version_before_takes_its_place(disk, tmp_path, what):
    folder, files = disk
    data = (folder / "halfstop.mpy").read_bytes()
    (folder / "halfstop_old.mpy").write_bytes(small(7, tmp_path)[0])
    (folder / "halfstop.mpy").unlink()
    if what != "missing":
        at = 64 if what == "head" else parts(data, files)["firmware/small.mpy"].start + 9
        (folder / "halfstop.mpy").write_bytes(flipped(data, at * 8))
    first, second = vm(folder, START), vm(folder, START)
    assert first.startswith("halfstop: the firmware on the board is ")
    assert "Traceback" not in first and first.count("\n") == 1
    assert second == "halfstop 7 pico_tft\n"
    assert sorted(path.name for path in folder.iterdir()) == ["halfstop.mpy", "main.py"]


def test_an_error_that_is_no_damage_is_seen_as_it_is(disk, tmp_path):
    """An OSError of the firmware's own, with the number of a damaged archive."""
    (disk[0] / "own.py").write_text("def run():\n    raise OSError(5, 'the panel does not answer')\n")
    said = vm(disk[0], "import halfstop\nhalfstop.run('own')")
    assert "Traceback" in said and "the panel does not answer" in said


@pytest.mark.parametrize("name", ["pico_oled", "s3_tft"])
def test_seldom_used_modules_are_deflated_and_no_other(name):
    """Read back by Python's zlib (RFC 1951). What is loaded before light is made must not be among them: that is what
    hal/ and first_light bring in, and the stage."""
    board = boards.load(name)
    data, seldom = pack.packed(board, pack.ARCH[board.CHIP])[pack.FILE], pack.seldom(board)
    files, table = pack.build(board, pack.ARCH[board.CHIP]), archive.HEAD + archive.FOLDERS
    slots = struct.iter_unpack("<III", data[table : table + archive.SLOTS * 12])
    entries = {name: (at, size & 0xFFFFFF, size >> 24) for name, at, size in slots}
    found = set()
    for path in sorted(set(files) - {"main.py"}):
        at, size, mark = entries[archive.name_of(path)]
        there = data[at : at + size]
        if mark:
            found.add(path)
            job = zlib.decompressobj(-archive.LAYOUT["_WINDOW"])
            assert size < len(files[path]) * 0.9
            assert job.decompress(there) == files[path] and job.eof
        else:
            assert there == files[path]
    assert len(found) > 40 and found < seldom
    short = pack.names() if board.CHIP in pack.SMALL else None
    kept = ("hal/rp2/line", "boards/", "firmware/first_light", "firmware/stage/stage")
    plain = {pack._place(name, short) for name in pack.shipped(board) if name.endswith(".py") and name.startswith(kept)}
    assert plain and not plain & seldom


def test_what_does_not_fit_is_refused():
    with pytest.raises(Refused, match="raise its _HEAD"):
        archive.make(bytes(2048), "pico_tft", {})
    with pytest.raises(Refused, match="raise _SLOTS"):
        archive.make(b"", "pico_tft", {f"firmware/{n}.mpy": b"" for n in range(400)})


def test_main_takes_no_block_of_its_own():
    """Asked of littlefs as an RP2040's MicroPython mounts it (prog size 256, its cache 1024)."""
    flash = LittleFS(block_size=4096, block_count=64, prog_size=256, read_size=32, cache_size=1024, lookahead_size=32)
    before = flash.used_block_count
    with flash.open("main.py", "wb") as file:
        file.write(pack.MAIN)
    assert flash.used_block_count == before


def test_the_head_tells_the_board(disk):
    assert archive.board_of((disk[0] / "halfstop.mpy").read_bytes()) == "pico_tft"


def test_the_same_source_gives_the_same_archive():
    """Whatever the order in which Python keeps its sets."""
    code = "import sim, boards; from host import pack; print(pack.digest(boards.load('pico_tft')))"
    told = subprocess.run([sys.executable, "-c", code], cwd=pack.ROOT, env=os.environ | {"PYTHONHASHSEED": "77"},
                          capture_output=True, text=True, check=True).stdout.strip()
    assert told == pack.digest(boards.load("pico_tft"))
