"""A rig on two universes, from the setting to both cables: by gestures on both panels, and what goes on with it.

What is on the second cable is read by sigrok's dmx512 decoder, which knows nothing of ours; that a packet is 512 slots
at most, so that two universes need two cables, is ANSI E1.11."""

import pytest

import boards
from firmware.show import effect_settings, rig_edit, slate
from firmware.show.fixture_light import HUE, SAT
from sim import Bench
from sim.disk import MemoryDisk
from tests import sigrok
from tests.ui.hand import lamp, pick, right, rows, to, told

FAR = 512 + 101


@pytest.fixture(params=["tft", "oled"])
def b(request, monkeypatch):
    """A device with two ports that knows of one universe. No board of ours has two ports and the small panel."""
    name = "pico2_tft"
    if request.param == "oled":
        name, two = "pico_oled", boards.load("pico2_tft")
        for key in ("UNIVERSES", "LAMPS", "LINES"):
            monkeypatch.setattr(boards.load(name), key, getattr(two, key), raising=False)
    with Bench(board=name) as bench:
        bench.run(0.5)
        yield bench


def sends(b):
    """Let port 2 send, by a restart."""
    b.app.set_setting("port2", 1)
    b.app.board.power.restart()
    b.run(0.5)


def far_lamp(b, kind="rgb", name="Far"):
    """Patch a lamp in the second universe."""
    f = b.app.show.rig.add(kind, name, FAR)
    b.app.show.save_rig()
    b.run(0.1)
    return f


def second(b):
    """What the decoder reads on the second cable: the slots of its last whole packet."""
    code, slots = sigrok.packets(b.vcd)[-1]
    assert code == 0
    return slots


def read(b, tmp_path):
    """The same, of the packets up to now."""
    b.run(0.1)
    b.vcd = tmp_path / "second.vcd"
    b.ports[1].save_vcd(b.vcd)
    return second(b)


def test_the_whole_way_by_gestures(b, tmp_path):
    b.tap("back")
    pick(b, "Settings", "Port 2")
    assert b.ports[1].packets == [] and not b.ports[1].drive
    b.turn(1)
    assert right(b, "Port 2") == "sends next start"
    b.press()
    b.run(0.2)
    assert "restart now" in b.app.screen.message
    b.run(1)
    b.press()  # what is offered
    b.run(1)
    assert (b.board.outs, b.board.power.restarted) == (2, "reset")
    assert read(b, tmp_path) == bytes(512)  # nobody is there
    b.tap("back")
    pick(b, "Rig", "+ Add a lamp")
    to(b, "RGB")
    b.press()
    b.hold()
    assert right(b, "Address") == "31–33"
    pick(b, "Port")
    assert right(b, "Address") == "2.31–33"
    pick(b, "Address")
    b.turn(70)
    b.press()
    b.run(0.2)
    assert b.app.screen.message.endswith("to address 2.101")
    new = b.app.show.rig.fixtures[-1]
    assert new.address == FAR
    b.tap("back")
    assert right(b, new.name) == "2.101–103"
    pick(b, "Map of slots")
    b.turn(FAR - 1)
    b.run(0.6)
    assert b.app.page.title == "Slots of port 2"
    assert f"Slot 2.101: {new.name}'s 1" in " ".join(b.lines)
    b.tap("back")
    b.tap("back")
    pick(b, "Light")
    lamp(b, new.name)
    b.turn(1)
    b.run(0.5)
    was = b.frame
    slots = read(b, tmp_path)
    assert any(slots[100:103]) and not any(slots[:100] + slots[103:])
    assert b.frame == was == b.app.stage.frame[:512] and slots == b.app.stage.frame[512:]


def test_more_of_these_stay_on_their_cable(b):
    sends(b)
    f = far_lamp(b)
    b.app.open("lamp", f)
    pick(b, "More of these")
    b.turn(1)
    b.press()
    b.run(0.2)
    assert [one.address for one in b.app.show.rig.fixtures[-2:]] == [513, 516]


def test_a_lamp_at_the_border_is_dialled_over_it(b):
    sends(b)
    f = b.app.show.rig.add("rgb", "Far", 509)
    b.app.open("lamp", f)
    pick(b, "Address")
    shown = []
    for _ in range(3):
        b.turn(1)
        shown.append(right(b, "Address"))
    b.turn(-1)
    b.turn(-1)
    assert shown == ["510–512", "2.1–3", "2.2–4"] and right(b, "Address") == "510–512"


def test_light_looks_and_blackout_on_both(b):
    sends(b)
    f = far_lamp(b)
    stage = b.app.stage
    stage.dial(f, level=1.0, hue=120, sat=1.0)
    b.run(0.3)
    stage.store("Green")
    b.run(0.3)
    green = b.frames
    assert green[FAR] == 255 and green[FAR + 1] == 0
    stage.dial(f, hue=0)
    stage.dial(b.app.show.rig.fixtures[0], level=0.0)
    b.run(0.3)
    assert b.frames[:512] != green[:512] and b.frames[FAR] < green[FAR]
    red = b.frames
    stage.go("Green", 2)
    b.run(1)
    middle = b.frames
    assert red[FAR] < middle[FAR] < 255
    b.run(1.5)
    assert b.frames == green
    b.tap("black")
    b.run(0.2)
    assert b.frames[FAR - 1:FAR + 2] == bytes(3) and b.frames[0] == 0
    b.tap("black")
    b.run(0.2)
    assert b.frames == green


def test_a_power_cut_and_a_restart_bring_both_back_before_the_app(b):
    sends(b)
    f = far_lamp(b)
    b.app.stage.dial(f, level=1.0, hue=120, sat=1.0)
    b.run(9)  # the state is kept
    on = b.frames
    for again in (b.restart, lambda: (b.cut_power(), b.boot())):
        again()
        b.clock.pass_us(60_000)  # two packets, before the loop's first step
        for port in b.ports:
            port.run_until(b.clock.us())
        assert b.frames == on
    b.run(1)
    assert b.frames == on and b.app.stage.light(f)[HUE] == 12000


def test_an_effect_on_the_second_cable(b):
    sends(b)
    f = far_lamp(b)
    b.app.stage.dial(f, level=0.5, sat=0)
    effects = b.app.machines.effects()
    effects.add(effect_settings.new("Candle", [f.uid]))
    effects.start(effects.saved[-1], b.app.now)
    seen = set()
    was = b.frame
    for _ in range(40):
        b.run(0.1)
        seen.add(b.frames[FAR - 1:FAR + 2])
    assert len(seen) > 5 and b.frame == was


def test_a_take_is_logged_and_brought_back(b):
    sends(b)
    f = far_lamp(b)
    b.app.stage.dial(f, level=1.0, hue=120, sat=1.0)
    b.run(0.3)
    kept = {uid: light for uid, _name, address, _crc, light, _pairs in slate.unpack_lamps(slate.pack_lamps(b.app.stage))
            if address == FAR}
    assert kept[f.uid][HUE] == 12000 and kept[f.uid][SAT] == 10000
    rig_edit.move(b.app.show.rig, f, 77)
    lamps = slate.unpack_lamps(slate.pack_lamps(b.app.stage))
    assert slate.differences(b.app.show.rig, lamps) == []
    lamps = [(f.uid, f.name, FAR, slate.fingerprint(f), kept[f.uid], [])]
    assert "Far: at 2.101, now 77" in slate.differences(b.app.show.rig, lamps)


def test_where_port_2_listens_its_lamps_are_told_and_kept(b):
    sends(b)
    f = far_lamp(b)
    b.app.stage.dial(f, level=1.0)
    b.run(9)
    b.app.set_setting("port2", 0)
    b.cut_power()
    cut = b.clock.us()
    b.boot()
    b.run(0.1)
    assert b.board.outs == 1 and all(start < cut for start, _slots in b.ports[1].packets)
    assert "Lamps at 2.1 and on get nothing" in told(b, 6)
    assert b.app.show.rig.find("Far").address == FAR
    b.app.open("lamp", b.app.show.rig.find("Far"))
    assert "Port" not in rows(b) and right(b, "Address") == "2.101–103"
    for _ in range(30):
        b.input.receive(bytes([9] * 512))
        b.run(0.1)
    assert b.app.feed.is_live() and b.app.feed.count == 512  # the cable in is a cable in again
    assert b.frame[100] == 9 and len(b.app.feed.frame) == 1024
    assert b.app.feed.holder(len(b.app.show.rig) - 1) == 1  # feed_tables.BY_POCKET


def test_a_feed_page_says_that_port_2_sends(b):
    sends(b)
    b.app.open("feed")
    b.run(0.2)
    assert right(b, "Signal") == "port 2 sends" and "Answers RDM" not in rows(b)


def test_what_needs_the_port_in_or_the_first_says_so(b):
    sends(b)
    b.app.open("selftest")
    pick(b, "Line")
    b.press()  # the first push tests the key
    assert right(b, "Line") == "port 2 sends"
    b.app.open("rig")
    assert right(b, "Find lamps") == "on port 1"


def test_a_board_without_memory_for_all_only_looks(tmp_path):
    """A show of 128 lamps on an RP2040, which takes 64: nothing of it is lost."""
    with Bench(board="pico2_tft", show=None) as large:
        sends(large)
        for n in range(128):
            large.app.show.rig.add("dim", None, 1 + n if n < 64 else 449 + n)
        large.app.show.save_rig()
        files = dict(large.disk.files)
    with Bench(board="pico_tft", show=None, disk=MemoryDisk(files)) as small:
        show = small.app.show
        assert show.read_only and len(show.rig) == 64
        assert "has 128 lamps, this device takes 64" in told(small, 6)
        with pytest.raises(ValueError, match="full: 64 fixtures"):
            show.rig.add("dim")
        with pytest.raises(OSError, match="read only"):
            show.save_rig()
        small.run(8)
        rig = next(path for path in files if path.endswith("rig.json"))
        assert small.disk.files[rig] == files[rig]


def test_one_universe_is_sent_as_before(b):
    assert len(b.app.stage.frame) == 512 and b.app.out is b.ports[0]
    b.app.open("lamp", b.app.show.rig.fixtures[0])
    assert "Port" not in rows(b)
    pick(b, "Address")
    b.turn(600)
    assert right(b, "Address") == "507–512"


@pytest.mark.parametrize("address", [1, FAR])
def test_a_lamp_that_is_taken_out_goes_dark(address):
    """On either cable, though nothing else is lit."""
    with Bench(show=None) as b:
        b.run(0.2)
        sends(b)
        f, other = b.app.show.rig.add("dim", None, address), b.app.show.rig.add("dim", None, address + 9)
        b.run(0.1)
        b.app.stage.dial(f, level=1.0)
        b.run(0.3)
        assert b.frames[address - 1] == 255
        rig_edit.remove(b.app.show.rig, f)
        b.run(0.3)
        assert not any(b.frames)
        b.app.stage.dial(other, level=1.0)
        b.run(0.3)
        rig_edit.move(b.app.show.rig, other, address)
        b.run(0.3)
        assert [n for n, value in enumerate(b.frames, 1) if value] == [address]
