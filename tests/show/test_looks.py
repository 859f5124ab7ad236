"""Looks: kept by name in a log; refusals leave everything as it was."""

import io
import random
import struct
import zlib

import pytest

from firmware.show import look_pack, look_record, looks_edit
from firmware.show.fixture_light import LIMITS
from firmware.show.looks import Looks
from sim.disk import MemoryDisk

LOG = "shows/a/looks/0.log"


def looks():
    disk = MemoryDisk()
    disk.mkdir("shows")
    disk.mkdir("shows/a")
    return disk, Looks(disk, "shows/a")


def again(disk):
    """The looks after a power-up."""
    found = Looks(disk, "shows/a")
    found.load()
    return found


LIGHT = {1: [65536, 3200, 0, 0, 0, 0, {}], 7: [32768, 5600, 300, 12000, 5000, 10000, {"slot1": 9000}]}


def test_a_look_comes_back_as_it_was():
    disk, a = looks()
    a.store("Day", LIGHT, 1500)
    b = again(disk)
    assert b.faults == []
    assert b.names() == ["Day"]
    assert b.recall("Day") == (LIGHT, 1500)


def test_any_light_within_its_limits_comes_back_exactly():
    """The ends of LIMITS, and light at random: all that a look may hold (SCHEMA.md)."""
    rng = random.Random(1)
    for _ in range(300):
        ends = [rng.choice(limit) if rng.random() < 0.3 else rng.randint(*limit) for limit in LIMITS]
        other = [rng.randint(*limit) for limit in LIMITS]
        uids = sorted(rng.sample(range(1, 100), rng.randrange(0, 64))) + [65535]
        lights = {uid: [*rng.choice((ends, ends, other)), {}] for uid in uids}
        lights[uids[0]][-1].update({"fan": rng.randrange(65536), "é": 0})
        if rng.random() < 0.5:
            lights[0] = [[1, *([7] * 511)], [512, 255]]
        content = look_pack.pack(lights)
        assert look_record.lights(content, 0) == lights


def test_light_beyond_its_limits_is_held_there():
    lights = {3: [65537, 0, -9999, 36000, -1, 10001, {}]}
    assert look_record.lights(look_pack.pack(lights), 0) == {3: [65536, 1000, -5000, 35999, 0, 10000, {}]}


def test_storing_under_a_name_that_is_there_replaces_it():
    disk, a = looks()
    a.store("Day", LIGHT, 700)
    a.store("Day", {1: [0, 3200, 0, 0, 0, 0, {}]}, None)
    assert len(a) == 1
    assert a.recall("Day") == again(disk).recall("Day") == ({1: [0, 3200, 0, 0, 0, 0, {}]}, 700)


def test_the_201st_look_is_refused():
    _disk, a = looks()
    for n in range(200):
        a.store(f"Look {n}", {1: [n, 3200, 0, 0, 0, 0, {}]})
    with pytest.raises(ValueError, match="full: 200 looks"):
        a.store("One more", LIGHT)
    assert len(a) == 200
    a.store("Look 5", LIGHT)  # replacing is no new look
    looks_edit.remove(a, "Look 0")
    a.store("One more", LIGHT)


def test_rename_copy_move_remove_outlive_a_restart():
    disk, a = looks()
    for name in ("One", "Two", "Three"):
        a.store(name, LIGHT)
    looks_edit.rename(a, "Two", "Second")
    looks_edit.copy(a, "One", "Copy")
    looks_edit.move(a, "Copy", 0)
    looks_edit.remove(a, "Three")
    b = again(disk)
    assert b.names() == ["Copy", "One", "Second"] == a.names()
    assert b.recall("Second") == b.recall("Copy")


def test_undo_of_a_store_and_of_a_delete_outlive_a_restart():
    disk, a = looks()
    for name in ("One", "Two", "Three"):
        a.store(name, LIGHT, 300)
    saved = looks_edit.saved(a, "Two")
    a.store("Two", {}, 5)
    looks_edit.bring_back(a, saved)
    gone = looks_edit.remove(a, "One")
    looks_edit.put_back(a, gone)
    b = again(disk)
    assert b.names() == ["One", "Two", "Three"] == a.names()
    assert [b.recall(name) for name in b.names()] == [(LIGHT, 300)] * 3
    assert list(b.ids) == [1, 2, 3]


def test_a_number_is_never_given_twice():
    """A running order names looks by their numbers: one that was deleted must not come to mean another look."""
    disk, a = looks()
    a.store("One", LIGHT)
    a.store("Two", LIGHT)
    looks_edit.remove(a, "Two")
    b = again(disk)
    assert b.store("Three", LIGHT) == 3


@pytest.mark.parametrize(("call", "words"), [
    (lambda a: looks_edit.rename(a, "One", "Two"), "Two is another look"),
    (lambda a: looks_edit.copy(a, "One", "Two"), "Two is another look"),
    (lambda a: a.store("", LIGHT), "needs a name"),
    (lambda a: a.store("x" * 25, LIGHT), "25 letters, can be 24"),
    (lambda a: a.recall("None"), "No look called None"),
    (lambda a: looks_edit.remove(a, "None"), "No look called None"),
])
def test_refusals(call, words):
    disk, a = looks()
    a.store("One", LIGHT)
    a.store("Two", LIGHT)
    before = dict(disk.files)
    with pytest.raises(ValueError, match=words):
        call(a)
    assert a.names() == ["One", "Two"] and disk.files == before


def spoil(disk, at, path=LOG):
    """Flip a bit of a part."""
    data = bytearray(disk.read(path))
    data[at] ^= 4
    disk.write(path, data)


def length(disk):
    return len(disk.files[LOG])


FIND = pytest.mark.parametrize("find", [
    lambda looks: pytest.raises(ValueError, looks.recall, "One"),
    lambda looks: [looks.prove() for _ in range(3)],
])


@FIND
def test_a_damaged_look_is_named_and_the_others_stay(find):
    disk, a = looks()
    a.store("One", LIGHT)
    at = length(disk) - 20  # in its light
    a.store("Two", LIGHT)
    spoil(disk, at)
    b = again(disk)
    assert b.names() == ["One", "Two"]
    find(b)
    assert b.faults == [LOG + ": One is damaged (wrong CRC): there is no good copy"]
    assert b.recall("Two") == (LIGHT, 2000)
    c = again(disk)
    assert c.names() == ["Two"] == b.names() and c.faults == []


def test_the_last_good_copy_is_used_where_the_log_has_one():
    disk, a = looks()
    a.store("One", LIGHT, 100)
    a.store("Two", LIGHT)
    a.store("One", {1: [5, 3200, 0, 0, 0, 0, {}]}, 200)
    at = length(disk) - 10
    a.store("Two", {})
    spoil(disk, at)
    b = again(disk)
    assert b.recall("One") == (LIGHT, 100)
    assert b.faults == [LOG + ": One is damaged (wrong CRC): its last good copy is used"]
    c = again(disk)
    assert c.recall("One") == (LIGHT, 100) and c.recall("Two") == ({}, 2000) and c.faults == []


def test_what_holds_damage_is_set_aside_by_and_by():
    disk, a = looks()
    a.store("One", LIGHT)
    a.store("Two", LIGHT)
    spoil(disk, 30)
    b = again(disk)
    while b.prove():
        pass
    assert disk.list("shows/a/looks") == ["0.log.bad", "1.log"]
    assert again(disk).names() == ["Two"] and again(disk).recall("Two") == (LIGHT, 2000)


def test_a_damaged_head_is_named_and_only_its_look_is_gone():
    disk, a = looks()
    for name in ("One", "Two", "Three"):
        start = length(disk) if LOG in disk.files else 8
        a.store(name, LIGHT)
        for at in range(start, start + 20) if name == "Two" else ():
            spoilt = MemoryDisk(disk.files)
            b = again(spoilt)
            b.store("Three", LIGHT)
            spoil(spoilt, at)
            c = again(spoilt)
            assert c.names() == ["One", "Three"], at
            assert c.faults == ["%s: a record at byte %d is damaged and left out" % (LOG, start)]


def test_a_damaged_order_leaves_the_one_before():
    disk, a = looks()
    for name in ("One", "Two", "Three"):
        a.store(name, LIGHT)
    looks_edit.move(a, "Three", 0)
    at = length(disk)
    looks_edit.move(a, "Two", 0)
    spoil(disk, at + 21)
    b = again(disk)
    assert b.names() == ["Three", "One", "Two"]
    assert b.faults == ["%s: a record at byte %d is damaged and left out" % (LOG, at)]


def test_a_torn_end_is_cut_off_without_a_word():
    disk, a = looks()
    a.store("One", LIGHT)
    whole = length(disk)
    a.store("Two", LIGHT)
    for end in range(whole, length(disk) - 3):  # up to three zeros come last
        torn = MemoryDisk(disk.files)
        torn.files[LOG] = torn.files[LOG][:end]
        b = again(torn)
        assert (b.names(), b.faults) == (["One"], [])
        b.store("Three", LIGHT)
        c = again(torn)
        assert (c.names(), c.faults) == (["One", "Three"], [])
        assert c.recall("Three") == (LIGHT, 2000)


def test_a_log_of_a_newer_version_is_refused_in_words_and_left_alone():
    disk, a = looks()
    a.store("One", LIGHT)
    disk.files[LOG] = newer_head() + disk.files[LOG][8:]
    before = dict(disk.files)
    b = again(disk)
    words = LOG + " is of a newer version (2, not 1): its looks can be neither read nor changed"
    assert b.names() == [] and b.faults == [words]
    with pytest.raises(OSError, match="newer version"):
        b.store("Two", LIGHT)
    while b.prove():
        pass
    assert disk.files == before


def newer_head():
    """The first bytes of a part of version 2, by the description in look_record.py."""
    head = b"HL\x02\x00"
    return head + struct.pack("<I", zlib.crc32(head))


class Counting(io.BytesIO):
    """A file that counts the bytes read from all of its kind."""

    read_bytes = 0

    def readinto(self, buffer):
        count = super().readinto(buffer)
        Counting.read_bytes += count
        return count


def test_a_start_reads_heads_only():
    disk, a = looks()
    for n in range(5):
        a.store(f"Look {n}", {uid: [uid, *LIGHT[7][1:]] for uid in range(1, 200, 2)})
    disk.reader = lambda path: Counting(disk.files[path])
    disk.read = None
    disk.length = lambda path: len(disk.files[path])
    disk.read_part = lambda path, at, buffer: Counting(disk.files[path][at:]).readinto(buffer)
    assert len(again(disk)) == 5
    assert 5 * 20 < Counting.read_bytes < 5 * 150 < length(disk) / 4
