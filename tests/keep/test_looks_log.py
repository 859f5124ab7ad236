"""The log of looks: cleared of what was replaced, on a full disk too, and cut at any step; shows of before the log."""

import json
import random

import pytest

from firmware.show import file_store, looks_compact, looks_edit
from firmware.show.file_disk import BLOCK
from firmware.show.fixture_light import LIMITS
from firmware.show.look_record import SOFT
from firmware.show.looks import Looks
from host import check, looks_log
from sim.disk import MemoryDisk, PowerCut
from sim.flash import LittleDisk
from tests.keep.full import fill


def lights(seed, count=64):
    """Light of so many lamps, all different."""
    rng = random.Random(seed)
    return {uid: [*(rng.randint(*limit) for limit in LIMITS), {}] for uid in range(1, count + 1)}


def opened(disk):
    """The looks after a power-up."""
    found = Looks(disk, "a")
    found.load()
    assert found.faults == []
    return found


def content(looks):
    return [(name, number, looks.recall(name)) for name, number in zip(looks.names(), looks.ids, strict=True)]


def filled(disk, count, stores):
    """Looks, some of which were stored again and moved: their log has much that was replaced."""
    disk.mkdir("a")
    looks, rng = Looks(disk, "a"), random.Random(3)
    for n in range(count):
        looks.store(f"Look {n}", lights(n))
    for n in range(stores):
        looks.store(f"Look {rng.randrange(count)}", lights(1000 + n))
    looks_edit.move(looks, "Look 1", 0)
    looks_edit.remove(looks, "Look 2")
    return looks


def test_200_looks_of_64_lamps_take_40_blocks_on_littlefs():
    """Each lamp has another light, no value of it simple: the dearest looks there are."""
    disk = LittleDisk()
    disk.mkdir("a")
    before, looks = disk.free()[0], Looks(disk, "a")
    for n in range(200):
        looks.store(f"Look number {n}", lights(n))
    assert before - disk.free()[0] <= 40 * BLOCK
    assert looks.total <= 160 * 1024


def test_idle_moments_clear_the_log_and_change_nothing():
    disk = MemoryDisk()
    looks = filled(disk, 40, 60)
    before = content(looks)
    assert looks.total - looks.live > 40000
    while looks.prove():
        pass
    assert looks.total - looks.live < 8192 and content(looks) == before
    again = opened(disk)
    assert content(again) == before
    assert (again.live, again.total) == (looks.live, looks.total)
    assert not again.locked and list(again.parts) == list(looks.parts)


def test_a_look_stored_while_the_log_is_cleared_is_there_afterwards():
    disk = MemoryDisk()
    looks = filled(disk, 40, 60)
    for n in range(30):
        looks.prove()
        looks.store(f"Look {3 + n}", lights(n, 3))
        if n == 15:
            looks_edit.move(looks, "Look 9", 4)
    while looks.prove():
        pass
    assert content(opened(disk)) == content(looks)
    assert looks.recall("Look 7")[0] == lights(4, 3)


def test_a_cut_at_any_step_of_clearing_changes_nothing():
    start = MemoryDisk()
    before = content(filled(start, 12, 30))
    whole = MemoryDisk(start.files)
    whole.power_up()
    looks_compact.whole(opened(whole))
    steps = whole.power_up()
    assert steps > 10
    for n in range(1, steps + 1):
        disk = MemoryDisk(start.files)
        looks = opened(disk)
        disk.cut_after(n)
        with pytest.raises(PowerCut):
            looks_compact.whole(looks)
        disk.power_up()
        assert content(opened(disk)) == before


@pytest.mark.parametrize("free", range(9))
@pytest.mark.parametrize("make", [MemoryDisk, LittleDisk])
def test_a_full_disk_in_mid_clearing_changes_nothing(make, free):
    disk = make()
    looks = filled(disk, 40, 60)
    before = content(looks)
    fill(disk, free)
    for _ in range(300):
        looks.prove()
    assert content(looks) == before == content(opened(disk))


def test_a_store_on_a_full_disk_clears_the_log_for_its_room():
    disk = MemoryDisk()
    looks = filled(disk, 40, 60)
    fill(disk, 7)
    for n in range(20):
        looks.store(f"New {n}", lights(n))
    assert opened(disk).recall("New 19")[0] == lights(19)


def test_a_full_disk_refuses_a_look_before_it_begins_and_lets_one_be_deleted():
    disk = MemoryDisk()
    looks = filled(disk, 6, 0)
    fill(disk, 2)
    before = dict(disk.files)
    with pytest.raises(OSError, match="no room for New"):
        for n in range(8):  # some come to lie in the block that the log has
            looks.store(f"New {n}", lights(n))
    assert content(opened(disk)) == content(looks)
    looks_edit.remove(looks, "Look 4")
    assert "Look 4" not in opened(disk).names() and disk.files != before


def older(disk, count=5, raw=False):
    """A show of before the log."""
    disk.mkdir("a")
    disk.mkdir("a/looks")
    for n in range(1, count + 1):
        look = {"name": f"Look {n}", "fade_ms": 100 * n, "lights": [[uid, *lights(n)[uid]] for uid in range(1, 9)]}
        if raw:
            look["raw"] = [[500, 1, 2]]
        file_store.save(disk, f"a/looks/{n}.json", look)
    order = [[n, f"Look {n}"] for n in (3, 1, 2, *range(4, count + 1))]
    file_store.save(disk, "a/order.json", {"looks": order})


def test_a_show_of_before_the_log_is_taken_into_it():
    disk = MemoryDisk()
    older(disk, raw=True)
    disk.write("a/looks/2.json~", disk.read("a/looks/2.json"))  # a last good copy goes with its file
    looks = opened(disk)
    assert looks.names() == ["Look 3", "Look 1", "Look 2", "Look 4", "Look 5"]
    before = content(looks)
    assert before[0][2] == ({**{uid: lights(3)[uid] for uid in range(1, 9)}, 0: [[500, 1, 2]]}, 300)
    assert not any(name.endswith(".log") for name in disk.files)  # nothing is written by looking
    assert sum(looks.prove() for _ in range(200)) < 200, "there is no end to what is to be done"
    assert content(looks) == content(opened(disk)) == before
    assert sorted(disk.files) == ["a/looks/0.log"]


def test_a_cut_at_any_step_of_that_loses_nothing():
    start = MemoryDisk()
    older(start)
    before, n = content(opened(start)), 1
    while True:
        disk = MemoryDisk(start.files)
        looks = opened(disk)
        disk.cut_after(n)
        try:
            while looks.prove():
                pass
            break
        except PowerCut:
            disk.power_up()
        again = opened(disk)
        assert content(again) == before
        while again.prove():
            pass
        assert content(opened(disk)) == before and all(path.endswith(".log") for path in disk.files)
        n += 1
    assert n > 15


def test_what_is_changed_before_all_are_taken_counts():
    disk = MemoryDisk()
    older(disk)
    looks = opened(disk)
    looks.store("Look 2", {}, None)
    looks_edit.remove(looks, "Look 4")
    looks_edit.rename(looks, "Look 1", "First")
    looks_edit.move(looks, "Look 5", 0)
    looks.store("New", {})
    assert looks.number("New") == 6
    again, before = opened(disk), content(looks)
    assert again.names() == looks.names() == ["Look 5", "Look 3", "First", "Look 2", "New"]
    assert again.recall("Look 2") == ({}, 200)
    while again.prove():
        pass
    assert content(opened(disk)) == before


def test_without_room_the_older_files_stay_and_are_read():
    disk = MemoryDisk()
    older(disk)
    fill(disk, 1)
    looks = opened(disk)
    before = content(looks)
    while looks.prove():
        pass
    assert content(looks) == before and "a/looks/3.json" in disk.files


def test_a_damaged_older_file_is_named_and_the_others_are_taken():
    disk = MemoryDisk()
    older(disk)
    disk.files["a/looks/2.json"] = b"torn"
    looks = Looks(disk, "a")
    looks.load()
    while looks.prove():
        pass
    assert looks.faults == ["a/looks/2.json is not whole: set aside, there is no good copy"]
    assert opened(disk).names() == ["Look 3", "Look 1", "Look 4", "Look 5"]
    assert disk.files["a/looks/2.json.bad"] == b"torn"


def test_a_curve_lasts_over_copies_damage_clearing_and_a_backup():
    disk = MemoryDisk()
    looks = filled(disk, 12, 60)
    looks_edit.set_fade(looks, "Look 3", 1500 + SOFT)
    looks_edit.copy(looks, "Look 3", "Soft too")
    looks.store("Look 3", lights(5), None)
    kept = content(opened(disk))
    assert [fade for _name, _number, (_lights, fade) in kept if fade >= SOFT] == [1500 + SOFT] * 2
    while looks.prove():
        pass
    assert content(looks) == content(opened(disk)) == kept
    files, faults = looks_log.as_json(dict(disk.files))
    assert faults == [] and list(check.problems({"shows/" + path: data for path, data in files.items()})) == []
    assert json.loads(files[f"a/looks/{looks.number('Soft too')}.json"])["curve"] == 1
    assert json.loads(files[f"a/looks/{looks.ids[0]}.json"]).get("curve") is None
    assert content(opened(MemoryDisk(looks_log.as_log(files)))) == kept
    at = looks.places[looks.index("Look 3")]
    path, byte = looks.where(at)
    disk.files[path] = disk.files[path][:byte + 40] + b"?" + disk.files[path][byte + 41:]
    assert looks.recall("Look 3")[1] == 1500 + SOFT  # the last good copy's
