"""Every disk answers alike: RAM, folder and littlefs under CPython, the device's own on the VM."""

import pytest

from sim.disk import FolderDisk, MemoryDisk, PowerCut
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
    assert disk.free()[1] == total == 1 << 20


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
