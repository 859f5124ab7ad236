"""Every disk answers alike: RAM, folder and littlefs under CPython, the device's own on the VM."""

import random

import pytest

from firmware.show.file_disk import BLOCK
from sim import littlefs_blocks
from sim.disk import SIZE, FolderDisk, MemoryDisk, PowerCut
from sim.flash import LittleDisk


@pytest.fixture(params=["memory", "folder", "littlefs"])
def disk(request, tmp_path):
    if request.param == "memory":
        return MemoryDisk()
    return FolderDisk(tmp_path) if request.param == "folder" else LittleDisk()


def test_files_and_folders(disk):
    disk.mkdir("a")
    disk.mkdir("a")
    disk.mkdir("a/b")
    disk.write("a/x", b"12")
    disk.append("a/x", b"34")
    disk.append("a/y", bytearray(b"5"))
    disk.write("a/b/z", b"6")
    assert disk.read("a/x") == b"1234"
    assert disk.list("a") == ["b/", "x", "y"]
    part = bytearray(3)
    assert disk.length("a/x") == 4 and disk.read_part("a/x", 2, part) == 2 and part[:2] == b"34"
    assert disk.list() == ["a/"]
    disk.write("a/x", b"7")
    disk.rename("a/x", "a/y")
    assert disk.read("a/y") == b"7"
    disk.rename("a", "c")
    assert disk.list("c") == ["b/", "y"] and disk.read("c/b/z") == b"6" and disk.list("a") == []
    disk.remove("c/b/z")
    disk.remove("c/b")
    assert disk.list("c") == ["y"]


def test_free_space_falls_by_a_block_at_least(disk):
    before, total = disk.free()
    disk.write("a", b"x" * 5000)
    assert 4096 <= before - disk.free()[0] <= 4 * 4096
    assert disk.free()[1] == total == SIZE


@pytest.mark.parametrize(
    ("act", "number"),
    [
        (lambda d: d.read("none"), 2),
        (lambda d: d.remove("none"), 2),
        (lambda d: d.length("none"), 2),
        (lambda d: d.read_part("none", 0, bytearray(1)), 2),
        (lambda d: d.rename("none", "other"), 2),
        (lambda d: d.write("none/x", b""), 2),
        (lambda d: d.remove("full"), 39),
        (lambda d: d.write("big", bytes(2 << 20)), 28),
    ],
)
def test_errors_have_the_same_numbers(disk, act, number):
    disk.mkdir("full")
    disk.write("full/x", b"1")
    with pytest.raises(OSError) as caught:
        act(disk)
    assert caught.value.errno == number


def test_after_a_cut_nothing_goes_until_power_is_back(disk):
    disk.write("a", b"old")
    disk.cut_after(1)
    with pytest.raises(PowerCut):
        disk.write("a", b"new")
    with pytest.raises(PowerCut):
        disk.read("a")
    disk.power_up()
    assert disk.read("a") == b"old"


def states_after_cuts(disk, *half):
    """What the file "a" holds after a cut at each step of its being replaced."""
    states = []
    for n in range(1, 8):
        disk.write("a", b"....")
        disk.cut_after(n, *half)
        try:
            disk.write("a", b"12345678")
        except PowerCut:
            pass
        disk.power_up()
        states.append(disk.read("a"))
    return states


def test_a_cut_file_is_old_torn_or_new(tmp_path):
    for disk in (MemoryDisk(), FolderDisk(tmp_path)):
        states = states_after_cuts(disk)
        assert states[0] == b"...." and states[-1] == b"12345678"
        assert set(states) == {b"....", b"", b"1234", b"12345678"}


def test_on_littlefs_a_cut_file_is_old_or_new():
    states = states_after_cuts(LittleDisk())
    assert states[0] == b"...." and states[-1] == b"12345678"
    assert set(states + states_after_cuts(LittleDisk(), True)) == {b"....", b"12345678"}


def test_littlefs_counts_erases():
    disk = LittleDisk()
    start = sum(disk.flash.erases)
    for n in range(50):
        disk.write("a", bytes([n]) * 5000)
    assert sum(disk.flash.erases) - start >= 100  # two blocks a file of 5000 bytes, each written anew


def random_files(seed, disk):
    """Make files and folders at random on a disk: ({path: bytes}, folders) of what is there then."""
    rng, files, folders = random.Random(seed), {}, {""}
    for folder in ("shows", "shows/a", "shows/a/looks", "captures", "state")[: rng.randrange(6)]:
        disk.mkdir(folder)
        folders.add(folder)
    for n in range(rng.randrange(1, 120)):
        act, old = rng.random(), rng.choice(sorted(files) or [None])
        if old and act < 0.1:
            disk.remove(old)
            del files[old]
        elif old and act < 0.3:
            size = rng.randrange(1, 3000)
            disk.append(old, bytes(size))
            files[old] += size
        else:
            path = f"{rng.choice(sorted(folders))}/file{n:x}.json".lstrip("/")
            size = rng.choice((rng.randrange(600), rng.randrange(5000), rng.randrange(30000)))
            disk.write(path, bytes(size))
            files[path] = size
    return files, folders


@pytest.mark.parametrize("seed", range(30))
def test_the_desktop_s_disks_count_blocks_as_littlefs_does(seed):
    """Never fewer, or a test could pass with a disk that no board has; and not many more: littlefs splits a folder's
    blocks when it comes to it, which hangs on what was there before."""
    disk = LittleDisk(768 * BLOCK)
    files, folders = random_files(seed, disk)
    free, total = disk.free()
    more = littlefs_blocks.used(files, folders) - (total - free) // BLOCK
    assert 0 <= more <= 2 + len(files) // 6


@pytest.mark.parametrize("size", [0, 511, 512, 513, 4096, 4097, 8188, 8189, 12272, 12273, 20452, 20453, 409600])
def test_a_file_takes_the_blocks_that_it_takes_on_littlefs(size):
    disk = LittleDisk()
    disk.write("a", b"")
    before = disk.free()[0]
    disk.append("a", bytes(size))
    assert (before - disk.free()[0]) // BLOCK == littlefs_blocks.file_blocks(size)


def test_both_desktop_disks_count_alike(tmp_path):
    memory, folder = MemoryDisk(), FolderDisk(tmp_path)
    for disk in (memory, folder):
        random_files(7, disk)
    assert memory.free() == folder.free()


@pytest.mark.parametrize("make", [lambda path: MemoryDisk(size=12 * BLOCK),
                                  lambda path: FolderDisk(path, size=12 * BLOCK), lambda path: LittleDisk(12 * BLOCK)])
def test_a_file_is_replaced_only_where_old_and_new_fit_side_by_side(make, tmp_path):
    disk = make(tmp_path)
    disk.write("a", bytes(5 * BLOCK - 100))
    disk.write("a", bytes(5 * BLOCK - 100))
    disk.write("b", bytes(BLOCK))
    with pytest.raises(OSError) as caught:
        disk.write("a", bytes(5 * BLOCK - 100))
    assert caught.value.errno == 28
