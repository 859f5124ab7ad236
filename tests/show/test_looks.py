"""Looks: kept by name, one file each; refusals leave everything as it was."""

import pytest

from firmware.show import looks_edit
from firmware.show.looks import Looks
from sim.disk import MemoryDisk


def looks():
    disk = MemoryDisk()
    disk.mkdir("shows")
    disk.mkdir("shows/a")
    return disk, Looks(disk, "shows/a")


LIGHT = {1: [65536, 3200, 0, 0, 0, 0, {}], 7: [32768, 5600, 300, 12000, 5000, 10000, {"slot1": 9000}]}


def test_a_look_comes_back_as_it_was():
    disk, a = looks()
    a.store("Day", LIGHT, 1500)
    again = Looks(disk, "shows/a")
    again.load()
    assert again.faults == []
    assert again.names() == ["Day"]
    assert again.recall("Day") == (LIGHT, 1500)


def test_storing_under_a_name_that_is_there_replaces_it():
    _disk, a = looks()
    a.store("Day", LIGHT)
    a.store("Day", {1: [0, 3200, 0, 0, 0, 0, {}]})
    assert len(a) == 1
    assert a.recall("Day")[0][1][0] == 0


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
    again = Looks(disk, "shows/a")
    again.load()
    assert again.names() == ["Copy", "One", "Second"] == a.names()
    assert again.recall("Second") == again.recall("Copy")


@pytest.mark.parametrize(("call", "words"), [
    (lambda a: looks_edit.rename(a, "One", "Two"), "Two is another look"),
    (lambda a: looks_edit.copy(a, "One", "Two"), "Two is another look"),
    (lambda a: a.store("", LIGHT), "needs a name"),
    (lambda a: a.store("x" * 25, LIGHT), "25 letters, can be 24"),
    (lambda a: a.recall("None"), "No look called None"),
    (lambda a: looks_edit.remove(a, "None"), "No look called None"),
])
def test_refusals(call, words):
    _disk, a = looks()
    a.store("One", LIGHT)
    a.store("Two", LIGHT)
    with pytest.raises(ValueError, match=words):
        call(a)
    assert a.names() == ["One", "Two"]


@pytest.mark.parametrize("find", [
    lambda looks: pytest.raises(ValueError, looks.recall, "One"),
    lambda looks: [looks.prove() for _ in range(5)],
])
def test_a_damaged_look_is_named_and_the_others_stay(find):
    disk, a = looks()
    a.store("One", LIGHT)
    a.store("Two", LIGHT)
    path = "shows/a/looks/1.json"
    data = bytearray(disk.read(path))
    data[30] ^= 4
    disk.write(path, data)
    again = Looks(disk, "shows/a")
    again.load()
    find(again)
    assert len(again.faults) == 1
    assert "1.json" in again.faults[0]
    assert "CRC" in again.faults[0]
    assert again.recall("Two") == (LIGHT, 2000)
    third = Looks(disk, "shows/a")
    third.load()
    assert third.names() == ["Two"]


def test_a_start_reads_one_file_for_all_names():
    disk, a = looks()
    for n in range(5):
        a.store(f"Look {n}", LIGHT)
    read, paths = disk.read, []
    disk.read = lambda path: paths.append(path) or read(path)
    Looks(disk, "shows/a").load()
    assert paths == ["shows/a/order.json"]


def test_a_lost_order_file_loses_no_look():
    disk, a = looks()
    a.store("One", LIGHT)
    a.store("Two", LIGHT)
    for name in disk.list("shows/a"):
        if name.startswith("order"):
            disk.remove("shows/a/" + name)
    again = Looks(disk, "shows/a")
    again.load()
    assert again.names() == ["One", "Two"]
