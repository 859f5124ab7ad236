"""The stage's state outlives power: light, fade, master, blackout, held, look; late by 5 s at most; small writes."""

import random

import pytest

from firmware.show import rig_edit, shelf_edit
from firmware.show.shelf import Shelf
from firmware.stage import state_read
from firmware.stage.stage import Stage
from firmware.stage.state_write import StateWriter
from sim.disk import MemoryDisk, PowerCut
from tests.keep.full import fill

KINDS = ("dim", "white16", "tint16", "full16", "rgbw16", "rgbww16", "raw4")


class Device:
    """A stage with its keeping, on virtual time."""

    def __init__(self, disk, start=0, running=False):
        self.disk = disk
        self.now = start
        self.shelf = Shelf(disk)
        self.stage = Stage(self.shelf.open())
        self.kept = StateWriter(disk, self.stage)
        self.restored = state_read.read(self.kept, start, running)
        self.stage.show.looks.load()
        self.stage.step(start)

    def run(self, ms):
        for _ in range(ms // 20):
            self.now += 20
            self.stage.step(self.now)
            self.kept.step(self.now)

    def state(self):
        stage = self.stage
        return stage.present(), stage.master, stage.blackout, stage.paused, stage.look


@pytest.fixture
def disk():
    disk = MemoryDisk()
    show = Shelf(disk).open()
    for kind in KINDS:
        show.rig.add(kind, kind)
    show.save_rig()
    return disk


def again(device, running=False):
    device.disk.power_up()
    return Device(device.disk, 300, running)


def test_nothing_kept_is_no_fault(disk):
    device = Device(disk)
    assert not device.restored and device.kept.faults == []


def test_power_up_returns_to_the_light_that_was_on(disk):
    device = Device(disk)
    stage = device.stage
    stage.dial("tint16", level=0.5, cct=3200, duv=-0.01)
    stage.dial("full16", level=1, hue=359, sat=0.5)
    stage.dial("raw4", slot2=65535)
    stage.store("Evening")
    stage.master = 0.25
    device.run(5000)
    new = again(device)
    assert new.restored and new.state() == device.state()
    assert new.stage.frame == stage.frame and any(stage.frame)
    assert new.stage.look == "Evening"


@pytest.mark.parametrize(("attribute", "value"), [("master", 0.5), ("blackout", True)])
def test_each_of_the_rest_is_kept(disk, attribute, value):
    device = Device(disk)
    device.stage.dial("dim", level=1)
    device.run(5000)
    setattr(device.stage, attribute, value)
    device.run(5000)
    new = again(device)
    assert getattr(new.stage, attribute) == value and new.stage.frame == device.stage.frame


def test_a_dial_under_blackout_is_kept(disk):
    device = Device(disk)
    device.stage.blackout = True
    device.run(5000)
    device.stage.dial("dim", level=1)  # no slot changes
    device.run(5000)
    assert again(device).stage.value(device.stage.show.rig.find("dim"), "level") == 1


def coming_up(disk, seconds, lamps=(("dim", 1),)):
    """A device whose lamps are out and have just begun to fade to these levels."""
    device = Device(disk)
    for kind, level in lamps:
        device.stage.dial(kind, level=level)
    device.stage.store("Up")
    for kind, _level in lamps:
        device.stage.dial(kind, level=0)
    device.run(5000)
    device.stage.go("Up", seconds)
    return device


def test_after_power_down_a_fade_is_at_its_end(disk):
    device = coming_up(disk, 600)
    device.run(5000)
    new = again(device)
    assert new.stage.left() == 0
    assert new.stage.value(new.stage.show.rig.find("dim"), "level") == 1


def test_after_a_restart_a_fade_goes_on_where_it_was(disk):
    device = coming_up(disk, 600, (("dim", 1), ("tint16", 0.5)))
    device.run(301000)
    new = again(device, True)
    dim = new.stage.show.rig.find("dim")
    late = device.stage.value(dim, "level") - new.stage.value(dim, "level")
    assert 0 <= late <= 5 / 600  # at most 5 s of the fade are lost
    new.run(100)
    assert new.stage.left() > 290000
    new.run(305000)
    assert new.stage.left() == 0
    assert new.stage.value(dim, "level") == 1
    new.run(5000)
    third = again(new)
    assert third.state() == new.state() and third.stage.left() == 0


def test_a_crossfade_by_hand_comes_back_where_it_was_left(disk):
    """Its light is kept: of each value the high byte is the same, give or take one."""
    device = Device(disk)
    stage = device.stage
    lamps = [f for f in stage.show.rig.fixtures if f.personality.has("level")]
    for f in lamps:
        stage.dial(f, level=0.9)
    stage.store("Bright")
    for f in lamps:
        stage.dial(f, level=0.1)
    stage.crossfade("Bright")
    device.run(6000)
    stage.crossfade_at(0.5)
    device.run(6000)
    back = again(device).stage
    back.step(300)
    assert len(lamps) > 4
    for f in lamps:
        for what, coarse, *_rest in f.personality.channels:
            at = f.address - 1 + coarse
            assert abs(back.frame[at] - stage.frame[at]) <= 1, (f.name, what)
            assert what != "level" or 100 < stage.frame[at] < 160, f.name


def test_a_held_fade_stays_held(disk):
    device = coming_up(disk, 100)
    device.run(30000)
    device.stage.pause(True)
    device.run(10000)
    new = again(device)
    new.run(20000)
    assert new.stage.paused and new.state() == device.state()
    new.stage.pause(False)
    new.run(75000)
    assert new.stage.value(new.stage.show.rig.find("dim"), "level") == 1


def test_a_change_is_on_flash_within_5_s_however_the_knob_turns(disk):
    """One step of the knob every 40 ms for 60 s, the power cut at any write: what comes back was on at most 5 s
    before the cut."""
    rng = random.Random(3)
    for cut in range(1, 60, 3):
        device = Device(MemoryDisk(disk.files))
        lamps = device.stage.show.rig.fixtures
        past = []
        device.disk.cut_after(cut)
        try:
            for _ in range(1500):
                past.append((device.now, device.state()[0]))
                device.stage.shift([rng.choice(lamps)], "level", rng.choice((0.1, 0.2, -0.1)))
                device.run(40)
        except PowerCut:
            pass
        new = again(device)
        if not new.restored:
            assert device.now < 5000
            continue
        then = max(t for t, light in past if light == new.state()[0])
        assert device.now - then <= 5000


def test_another_show_does_not_take_this_one_s_light(disk):
    device = Device(disk)
    device.stage.dial("dim", level=1)
    device.run(5000)
    device.shelf.open(shelf_edit.new(device.shelf, "Other"))
    assert not again(device).restored


@pytest.mark.parametrize("name", ["base0", "base1", "step0", "step1"])
def test_a_damaged_state_falls_back_and_is_named(disk, name):
    device = Device(disk)
    rig = device.stage.show.rig
    lamps = [rig.add("dim16") for _ in range(40)]
    device.stage.show.save_rig()
    device.run(1000)
    for level in range(1, 8):
        for lamp in lamps[: 40 if level in (1, 4) else 2]:  # all: a new base, the last is base0; two: a step
            device.stage.dial(lamp, level=level / 10)
        device.run(5000)
    path = "state/" + name
    for bit in random.Random(4).sample(range(len(disk.files[path]) * 8), 40):
        bad = MemoryDisk(disk.files)
        flipped = bytearray(disk.files[path])
        flipped[bit // 8] ^= 1 << bit % 8
        bad.files[path] = bytes(flipped)
        new = Device(bad, 300)
        assert name in "".join(new.kept.faults) and new.restored
        assert new.stage.value(lamps[5], "level") == pytest.approx(0.4 if name != "base0" else 0.1, abs=1e-4)


def test_a_full_disk_is_said_and_tried_again(disk):
    device = Device(disk)
    fill(disk)
    device.stage.dial("dim", level=1)
    device.run(5000)
    assert "cannot be kept" in device.kept.faults[0]
    disk.remove("filler")
    device.run(66000)
    assert len(device.kept.faults) == 1
    assert again(device).state() == device.state()


def test_a_fixture_that_is_gone_or_new_is_no_fault(disk):
    device = Device(disk)
    device.stage.dial("dim", level=1)
    device.stage.dial("full16", level=0.5)
    device.run(5000)
    rig = device.stage.show.rig
    rig_edit.remove(rig, rig.find("dim"))
    rig_edit.swap(rig, rig.find("raw4"), "dim")
    rig.add("rgb", "New")
    device.stage.show.save_rig()
    new = again(device)
    assert new.stage.value(new.stage.show.rig.find("full16"), "level") == 0.5
    assert new.stage.value(new.stage.show.rig.find("New"), "level") == 0


def test_stopping_the_app_keeps_the_last_change(disk):
    device = Device(disk)
    device.stage.dial("dim", level=0.3)
    device.run(40)
    device.kept.flush(device.now)
    assert again(device).state() == device.state()
    disk.power_up()
    device.kept.flush(device.now)
    assert disk.power_up() == 0


def test_a_quiet_stage_writes_nothing(disk):
    device = Device(disk)
    device.stage.dial("dim", level=1)
    device.run(10000)
    disk.power_up()
    device.run(600000)
    assert disk.power_up() == 0


def test_raw_slots_of_nobody_come_back(disk):
    """A look made from a feed holds slots of no fixture; later steps of the state leave them as they are."""
    device = Device(disk)
    device.stage.show.looks.store("Grabbed", {**device.stage.present(), 0: [[300, 1, 2], [400, *[9] * 100]]})
    device.stage.go("Grabbed", 0)
    device.run(5000)
    device.stage.dial("dim", level=0.5)
    device.run(5000)
    new = again(device)
    assert new.stage.frame == device.stage.frame and new.stage.frame[299:301] == b"\x01\x02"
