"""Some seconds of the soak, and that it sees what is wrong: faults are planted. The long one: `python -m tests.bench
soak`."""

import os

import pytest

from firmware import app_loop
from firmware.parts import once
from firmware.show.looks import Looks
from firmware.stage.state_write import StateWriter
from sim.disk import MemoryDisk
from sim.line import Line
from tests.soak import content, vm, walk
from tests.soak.walk import Soak

GESTURES = int(os.environ.get("SOAK", "2400"))


def test_nothing_goes_wrong():
    soaked = Soak(7).soak(GESTURES, 1200)
    assert soaked.wrong == []
    assert (soaked.crashes, soaked.lost) == (0, 0)
    assert soaked.gap["worst"] <= 23  # ANSI E1.11: a full packet takes 22.7 ms
    assert soaked.gap["exchanged"] <= 50  # a long answer by RDM; E1.11 itself lets a second pass
    assert soaked.gap["restarted"] <= 1000
    assert soaked.drift <= walk.DRIFT
    assert min(soaked.counts["cuts"], soaked.counts["faults"], soaked.counts["packets"]) > 0
    assert len(soaked.pages) > 20


def lives(seed, count, gestures):
    soaked = Soak(seed)  # its files are made before a fault is planted: by the fixture
    soaked.life = 1  # the next is a rough one
    with walk.loaded.as_after_boot() as soaked.known, walk.walker.quick():
        for _ in range(count):
            soaked.live(gestures)
    return soaked


def test_an_exception_is_seen(monkeypatch):
    step = app_loop.Loop.step

    def trips(self, now):
        step(self, now)
        if self._app.stage.blackout:
            raise RuntimeError("planted")

    monkeypatch.setattr(app_loop.Loop, "step", trips)
    soaked = lives(7, 1, 300)
    assert soaked.crashes > 0
    assert any("planted" in words for words in soaked.wrong)


def test_light_that_is_not_kept_is_seen(monkeypatch):
    monkeypatch.setattr(StateWriter, "_begin", lambda self, _now, _at_once: vars(self).update(first=-1, _job=iter(())))
    monkeypatch.setattr(walk, "ROUGH", (("cut", 40),))
    soaked = lives(3, 2, 400)
    assert any("light" in words for words in soaked.wrong)


def test_a_save_that_a_cut_spoils_is_seen(monkeypatch):
    """Looks are stored with nothing where the order was for a moment: an image of that moment has no looks."""
    store = Looks.store

    def careless(self, name, lights, fade_ms=2000):
        path = self.path(self.parts[-1])
        kept = self.disk.read(path)
        self.disk.remove(path)
        self.disk.write(path, kept)
        store(self, name, lights, fade_ms)

    monkeypatch.setattr(Looks, "store", careless)
    monkeypatch.setattr(walk, "ROUGH", (("cut_writing", 3),))
    monkeypatch.setattr(walk.Soak, "_gesture", lambda self: self.app.try_to(self.app.stage.store, "One"))
    soaked = lives(5, 1, 60)
    assert any("looks" in words for words in soaked.wrong)


def test_a_rig_that_is_said_to_be_saved_and_is_not_is_seen(monkeypatch):
    monkeypatch.setattr("firmware.show.show.Show.save_rig", lambda _self: None)
    monkeypatch.setattr(walk, "ROUGH", (("cut", 40),))
    assert any("rig" in words for words in lives(3, 2, 400).wrong)


def test_a_frame_that_is_not_sent_is_seen(monkeypatch):
    """Every frame that begins with an odd value is dropped on its way to the line."""
    send = Line.send
    monkeypatch.setattr(Line, "send", lambda self, slots: send(self, slots) if slots[0] % 2 == 0 else None)
    soaked = lives(2, 1, 200)
    assert any("other slots" in words for words in soaked.wrong)


def test_what_stays_in_memory_is_seen(monkeypatch):
    """A gesture leaves something that nobody needs."""
    def leak(self, _now):
        vars(self._app).setdefault("leak", []).append(bytes(64))

    monkeypatch.setattr(app_loop.Loop, "_wake", leak)
    soaked = Soak(7)
    with walk.loaded.as_after_boot() as soaked.known, walk.walker.quick():
        soaked.live(200)
    assert soaked.drift > walk.DRIFT


def test_a_line_that_stops_is_seen():
    soaked = Soak(7)
    device = walk.Device(walk.Disk(soaked.files, soaked.dice.random), (128, 64, 1), soaked.watch)
    device.wire.drive = False
    device.clock.pass_us(400_000)
    device.wire.drive = True
    device.walk(100)
    assert 400 <= device.wire.worst < 430
    device.restart()
    assert 500 < device.wire.restarted < 1000


def test_a_desk_that_begins_after_days_sends_from_then_on():
    soaked = Soak(7)
    device = walk.Device(walk.Disk(soaked.files, soaked.dice.random), (128, 64, 1), soaked.watch)
    device.age(600_000)
    device.feed, asked = lambda ms: asked.append(ms), []
    device.walk(100)
    assert 3 <= len(asked) <= 6  # one in 23 ms


def test_what_is_torn_is_told_from_what_is_not():
    before, after = {("a", "looks"): 1, ("capture", 1): b"ab"}, {("a", "looks"): 2, ("capture", 1): b"abcd"}
    assert content.torn([before, after], {("a", "looks"): 2, ("capture", 1): b"abc"}) == []
    assert content.torn([before, after], {("a", "looks"): 3, ("capture", 1): b"ax"}) == [("a", "looks"), ("capture", 1)]
    assert content.torn([before, after], {}) == [("a", "looks"), ("capture", 1)]


def test_on_the_32_bit_vm_the_heap_stays():
    """What leaks does so each time. The collector takes any word for an address, and may keep 2 KB for a while that
    nobody needs, which differs with the folder's name: then it is weighed anew."""
    drifts = []
    for name in ("_of", "", "_of_the_soak"):
        heaps = vm.wasm(500, 3, power=29, folder_name=name)
        drifts.append(abs(heaps[-1] - heaps[2]))
        if drifts[-1] <= walk.DRIFT:
            break
    assert min(drifts) <= walk.DRIFT, drifts


def test_on_the_64_bit_vm_a_chips_heap_is_enough():
    restarts, gave_way = vm.unix(600, 4)
    assert restarts > 0
    assert gave_way <= 5  # a page that had no room in a heap of objects twice as large as a chip's


def test_an_effect_of_half_a_push_is_no_loss_and_one_that_is_gone_is():
    flame, storm = ["Flame", 1, 100, 1000, 1, [6], [1]], ["Lightning", 1, 100, 1000, 2, [6], [1]]
    def of(*kept):
        return dict(zip((("a", "effects.json"), ("a", "effects on")), content.effects({"effects": list(kept)})))
    before, after = of(flame + [1]), of(flame + [1], storm + [1])
    assert content.torn([before, after], of(flame + [1], storm + [0])) == []
    assert content.torn([before, after], of(storm + [1])) == [("a", "effects on"), ("a", "effects.json")]
    assert content.torn([before, after], of(flame + [0])) == [("a", "effects on")]
    assert content.effects(None) == ([], [])


def test_a_look_that_was_damaged_before_the_cut_is_not_lost_by_it():
    soaked = Soak(1)
    path = next(path for path in soaked.files if path.startswith("shows/demo/looks/"))
    data = bytearray(soaked.files[path])
    data[len(data) // 2] ^= 1
    disk = walk.Disk(soaked.files | {path: bytes(data)}, soaked.dice.random)
    soaked.b = walk.Device(disk, (128, 64, 1), soaked.watch)
    count = len(soaked.app.show.looks)
    soaked.cut()
    assert soaked.wrong == []
    assert len(soaked.app.show.looks) == count - 1


def test_slots_that_a_feed_left_in_the_yardstick_do_not_weigh():
    soaked = Soak(1)
    soaked.b = walk.Device(walk.Disk(soaked.files, soaked.dice.random), (128, 64, 1), soaked.watch)
    soaked._weigh()
    before = soaked._weigh()
    soaked.app.stage.move_raw([[400, 1, 2]], 0)
    soaked._rest()
    assert abs(soaked._weigh() - before) <= walk.DRIFT


def test_a_port_that_answers_rdm_does_not_weigh_and_what_it_leaves_does(monkeypatch):
    soaked = Soak(1)
    soaked.b = walk.Device(walk.Disk(soaked.files, soaked.dice.random), (128, 64, 1), soaked.watch)
    soaked._weigh()
    before = soaked._weigh()

    def answer():
        soaked.app.set_setting("rdm", 1)
        once("firmware.feed_sources", "choose", soaked.app)
        assert hasattr(soaked.app.input, "uid")
        return soaked._weigh() - before

    assert abs(answer()) <= walk.DRIFT
    monkeypatch.setattr("sim.rdm_port.Answers.close", lambda _port: vars(soaked.app).update(left=soaked.app.input))
    assert answer() > walk.DRIFT


def test_the_yardstick_is_put_back():
    soaked = Soak(1)
    disk = walk.Disk(soaked.files, soaked.dice.random)
    disk.write(walk.YARDSTICK + "/rig.json", b"{}")
    disk.write(walk.YARDSTICK + "/more.json", b"{}")
    disk.restore(soaked.files, walk.YARDSTICK)
    assert disk.files == MemoryDisk(soaked.files).files


@pytest.fixture(autouse=True)
def a_desktops_time():
    """Devices of the soak set the boards' clock; the files that lives begin with are whole."""
    Soak(1)
    kept = walk.Device.__init__.__globals__["board_parts"].time
    yield
    walk.Device.__init__.__globals__["board_parts"].time = kept


