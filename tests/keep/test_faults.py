"""The log of faults: the last 50, newest first, through restarts, torn lines, damage and a full disk."""

import json

from firmware.show.fault_log import FaultLog
from sim.disk import SIZE, MemoryDisk, PowerCut


def test_the_last_50_newest_first_through_restarts():
    disk = MemoryDisk()
    for n in range(120):
        FaultLog(disk).add(n * 61000, f"fault {n}", "looks/3.json")
    entries = FaultLog(disk).entries()
    assert len(entries) == 50
    assert entries[0] == (119 * 61, "fault 119", "looks/3.json")
    assert [what for _at, what, _where in entries] == [f"fault {n}" for n in range(119, 69, -1)]
    assert len(disk.files) == 2


def test_each_line_is_json():
    disk = MemoryDisk()
    FaultLog(disk).add(1500, "rig.json is damaged", "show")
    line = json.loads(disk.files["faults.log"])
    assert (line["at"], line["what"], line["where"]) == (1, "rig.json is damaged", "show")


def test_the_same_fault_again_is_logged_once_a_minute():
    log = FaultLog(MemoryDisk())
    for now in range(0, 180001, 1000):
        log.add(now, "feed lost")
    assert [at for at, _what, _where in log.entries()] == [180, 120, 60, 0]


def test_a_cut_loses_one_line_at_most():
    before = MemoryDisk()
    for n in range(50):
        FaultLog(before).add(0, f"fault {n}")
    for n in range(1, 10):
        disk = MemoryDisk(before.files)
        disk.cut_after(n)
        try:
            FaultLog(disk).add(0, "last")
        except PowerCut:
            pass
        disk.power_up()
        FaultLog(disk).add(0, "after")
        whats = [what for _at, what, _where in FaultLog(disk).entries()]
        assert whats[0] == "after" and whats[-1] in ("fault 1", "fault 2")
        assert whats[1] in ("last", "fault 49")


def test_a_damaged_line_is_left_out():
    disk = MemoryDisk()
    for n in range(3):
        FaultLog(disk).add(0, f"fault {n}")
    data = bytearray(disk.files["faults.log"])
    data[100] ^= 1
    disk.files["faults.log"] = bytes(data)
    assert [what for _at, what, _where in FaultLog(disk).entries()] == ["fault 2", "fault 0"]


def test_a_full_disk_is_survived():
    disk = MemoryDisk(size=0)
    log = FaultLog(disk)
    log.add(0, "one")
    disk.size = SIZE
    log.add(1, "two")
    assert [what for _at, what, _where in log.entries()] == ["two"]
