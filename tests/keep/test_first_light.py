"""The light that was on is on the line before the app is there; the app then takes over without a jump, and where
anything is in doubt the line is silent."""

import random

import pytest

from firmware.first_light import light
from firmware.parts import once
from firmware.show import shelf_edit
from sim import Bench
from sim.disk import MemoryDisk

SAVED_S = 5  # the state is on flash so long after the last change


@pytest.fixture
def bench():
    with Bench(show="demo") as bench:
        bench.run(SAVED_S)
        yield bench


def again(bench):
    """Cut the power, start again: the frames of every packet from then on."""
    bench.cut_power()
    bench.run(0.1)
    start = bench.clock.us()
    bench.boot()
    bench.run(0.5)
    return [bytes(slots) for us, slots in bench.line.packets if us >= start]


def lamp(bench):
    return bench.app.show.rig.fixtures[0]


def test_every_packet_from_the_first_on_is_the_light_that_was_on(bench):
    bench.app.stage.go("Evening", 0)
    bench.run(SAVED_S)
    on = bench.frame
    assert any(on)
    assert light(bench.disk) == on
    assert set(again(bench)) == {on}


def test_a_running_fade_is_at_its_end_and_stays_there(bench):
    stage = bench.app.stage
    stage.go("Evening", 0)
    bench.run(SAVED_S)
    evening = bench.frame
    for fixture in bench.app.show.rig.fixtures:
        stage.dial(fixture, level=0)
    bench.run(SAVED_S)
    stage.go("Evening", 60)
    bench.run(SAVED_S)
    assert bench.frame != evening
    assert set(again(bench)) == {evening}
    assert bench.app.stage.left() == 0


def test_a_held_fade_stays_where_it_is(bench):
    stage = bench.app.stage
    stage.dial(lamp(bench), level=0)
    bench.run(SAVED_S)
    stage.go("Evening", 60)
    bench.run(20)
    stage.pause(True)
    bench.run(SAVED_S)
    on = bench.frame
    assert set(again(bench)) == {on}
    assert bench.app.stage.paused


def test_blackout_and_master_hold(bench):
    stage = bench.app.stage
    stage.go("Evening", 0)
    stage.master = 0.5
    bench.run(SAVED_S)
    half = bench.frame
    assert set(again(bench)) == {half}
    bench.app.stage.blackout = True
    bench.run(SAVED_S)
    black = bench.frame
    assert black != half
    assert set(again(bench)) == {black}


def test_all_at_full_is_not_kept(bench):
    """It lasts while a key is held."""
    bench.app.stage.go("Evening", 0)
    bench.run(SAVED_S)
    on = bench.frame
    bench.app.stage.full = True
    lamp_ = lamp(bench)
    bench.app.stage.dial(lamp_, level=bench.app.stage.value(lamp_, "level"))
    bench.run(SAVED_S)
    assert bench.frame != on
    assert set(again(bench)) == {on}


def test_started_dark_the_line_is_dark(bench):
    bench.app.stage.go("Evening", 0)
    bench.run(SAVED_S)
    bench.app.shelf.set("dark", True)
    assert light(bench.disk) is None
    frames = again(bench)
    lit = bench.app.stage.frame
    assert set(frames) == {bytes(lit)}
    assert all(bench.app.stage.value(f, "level") == 0 for f in bench.app.show.rig.fixtures)


def test_an_effect_is_not_kept(bench):
    stage = bench.app.stage
    stage.go("Evening", 0)
    bench.run(SAVED_S)
    still = bench.frame
    effects = bench.app.machines.effects()
    effect = once("firmware.show.effect_settings", "new", "Flame", [lamp(bench).uid])
    effects.add(effect)
    effects.start(effect, bench.app.now)
    bench.run(1)
    assert bench.frame != still
    bench.run(SAVED_S)
    assert light(bench.disk) == still


def test_a_feed_is_not_kept(bench):
    bench.app.stage.go("Evening", 0)
    bench.run(SAVED_S)
    own = light(bench.disk)
    fed = bytes(255 - v for v in own)
    until = bench.clock.ms() + 8000
    while bench.clock.ms() < until:
        bench.input.receive(fed)
        bench.run(0.025)
    bench.app.stage.dial(lamp(bench), level=bench.app.stage.value(lamp(bench), "level"))
    bench.run(SAVED_S)
    assert light(bench.disk) == own


def test_a_step_of_the_dial_is_kept_as_what_differs(bench):
    bench.app.stage.go("Evening", 0)
    bench.run(SAVED_S)
    rng = random.Random(1)
    for _ in range(40):
        fixture = rng.choice(bench.app.show.rig.fixtures)
        bench.app.stage.dial(fixture, level=rng.random(), cct=rng.randrange(2700, 6500))
        bench.run(SAVED_S)
        assert light(bench.disk) == bench.frame
    assert any(name.startswith("state/step") and data for name, data in bench.disk.files.items())


def test_a_lamp_that_moves_to_another_address_takes_the_frame_along(bench):
    bench.app.stage.go("Evening", 0)
    bench.run(SAVED_S)
    lamp(bench).address = 400
    bench.app.show.rig.changes += 1
    bench.app.show.save_rig()
    assert light(bench.disk) is None, "until it is kept anew"
    bench.run(SAVED_S)
    assert light(bench.disk) == bench.frame


def disk_of(bench):
    bench.app.stage.go("Evening", 0)
    bench.run(SAVED_S)
    bench.app.stage.dial(lamp(bench), level=0.123)
    bench.run(SAVED_S)
    assert light(bench.disk) == bench.frame
    return MemoryDisk(bench.disk.files)


def test_every_flipped_bit_is_silence_or_the_light_that_was_on(bench):
    """The state's files and the two that say what it belongs to."""
    disk = disk_of(bench)
    right, silent = light(disk), 0
    rng = random.Random(2)
    folder = "shows/" + bench.app.shelf.opened
    for path in ("shelf.json", folder + "/rig.json", "state/base0", "state/base1", "state/step0", "state/step1"):
        data = disk.files.get(path)
        for _ in range(60 if data else 0):
            bit = rng.randrange(len(data) * 8)
            flipped = bytearray(data)
            flipped[bit // 8] ^= 1 << bit % 8
            disk.files[path] = bytes(flipped)
            found = light(disk)
            silent += found is None
            assert found in (None, right)
        if data:
            disk.files[path] = data
    assert silent > 100
    assert light(disk) == right


@pytest.mark.parametrize("left", [0.01, 0.3, 0.9, 0.99])
def test_a_torn_file_is_silence(bench, left):
    disk = disk_of(bench)
    for path in [name for name in disk.files if name.startswith("state/")]:
        whole = disk.files[path]
        disk.files[path] = whole[:max(1, int(len(whole) * left))]
        assert light(disk) is None
        disk.files[path] = whole


def test_another_show_is_silence(bench):
    disk_of(bench)
    bench.app.shelf.open(shelf_edit.new(bench.app.shelf, "Other"))
    assert light(bench.disk) is None


def test_another_rig_is_silence(bench):
    """As after a restore, which brings files of the same names."""
    disk = disk_of(bench)
    with Bench(show=None) as other:
        other.app.show.rig.add("dim")
        other.app.show.save_rig()
        path = "shows/" + other.app.shelf.opened + "/rig.json"
        disk.files["shows/" + bench.app.shelf.opened + "/rig.json"] = other.disk.files[path]
    assert light(disk) is None


def test_nothing_kept_is_silence():
    assert light(MemoryDisk()) is None
    with Bench(show=None) as bench:
        assert light(bench.disk) is None
