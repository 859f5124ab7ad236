"""The pocket as a responder on the bench: chosen on the Feed page, found by a desk, shown and named by it. What a desk
may do is ANSI E1.20's (from memory); the desk is sim/rdm_desk.py, which knows nothing of firmware/wire."""

import pytest

from sim import Bench
from sim.disk import MemoryDisk
from sim.live import Live
from sim.rdm_desk import LABEL, Desk
from sim.session import OnPython
from tests import loaded

UID = 0x7FF05A000515


def device(board="pico2_tft", on=True, disk=None):
    b = Bench(board=board, disk=disk, show="demo" if disk is None else None)
    if on:
        choose(b)
    return b


def choose(b):
    """Change the row on the Feed page, by hand."""
    b.app.open("feed")
    b.run(0.2)
    page = b.app.page
    b.turn(page.items.index("Answers RDM") - page.at)
    b.press()


def serve(b, desk, seconds):
    """Let the desk send its frames and ask for so long."""
    for _ in range(round(seconds / 0.024)):
        b.input.receive(bytes(512))
        packet = desk.step(0.024)
        if packet:
            desk.hear(b.input.ask_in(packet)[0])
        b.run(0.024)


@pytest.mark.parametrize("board", ("pico2_tft", "pico_tft"))
def test_a_desk_finds_it_reads_it_and_names_it(board):
    b, desk = device(board), Desk()
    serve(b, desk, 16)
    assert list(desk.found) == [UID] and desk.word.startswith("found 7FF0:5A000515 Pocket lighting controller")
    told = desk.found[UID]
    assert told["DEVICE_INFO"][10:12] == b"\0\0" and told["DEVICE_INFO"][14:16] == b"\xff\xff"
    assert told["software"].decode() == b.app.version and told["label"].decode() == LABEL
    assert desk.refused == [(UID, 0x00F0, 5)], "the address of a device without slots"


def test_its_name_outlives_a_power_cut():
    disk = MemoryDisk()
    b = device(disk=disk)
    serve(b, Desk(), 16)
    b.run(3)
    b.cut_power()
    b.boot()
    desk = Desk()
    serve(b, desk, 4)
    assert desk.found[UID]["label"].decode() == LABEL


def test_identify_is_seen_and_no_light_changes():
    """On the screen, even a dark one, and on the board's lamp; on the line everything stays as it was."""
    b, desk = device(), Desk()
    b.app.settings["off_s"] = 1
    b.app.open("light")
    b.run(2)
    assert b.app.screen.asleep
    seen, lamp, frames = 0, set(), set()
    for _ in range(700):
        serve(b, desk, 0.024)
        if b.app.input.responder.identify:
            frames.add(bytes(b.frame))
            b.run(0.1)
            seen += any("IDENTIFY" in line for line in b.lines)
            lamp.add(b.board.led.on)
            assert not b.app.screen.asleep
    assert seen > 20 and lamp == {True, False}
    assert not b.board.led.on and not any("IDENTIFY" in line for line in b.lines)
    assert len(frames) == 1


def test_identify_by_itself_changes_no_slot():
    b, desk = device(), Desk()
    b.run(1)
    before = b.frame
    while not b.app.input.responder.identify:  # the desk asks, and sends no packets
        packet = desk.step(0.024)
        if packet:
            desk.hear(b.input.ask_in(packet)[0])
        b.run(0.024)
    b.run(1)
    assert b.frame == before and any(before)


def test_off_it_is_silent_and_nothing_is_loaded():
    """As it comes, and after it was on."""
    with loaded.as_after_boot():
        b = device(on=False)
        for _ in range(2):
            desk = Desk()
            serve(b, desk, 1)
            assert not desk.found and desk.word == "found nobody"
            b.app.open("light")
            b.run(0.3)
            assert not [name for name in loaded.names() if "rdm" in name]
            choose(b)
            serve(b, desk := Desk(), 2)
            assert UID in desk.found and "firmware.wire.rdm_responder" in loaded.names()
            choose(b)


def test_a_port_without_rdm_does_not_offer_it():
    """The ESP32's UART could let go only ms later; the small board has no port in."""
    for board in ("s3_tft", "pico_oled"):
        b = Bench(board=board)
        b.app.settings["rdm"] = 1
        if b.app.input or board == "pico_oled":
            b.app.open("feed")
            b.run(0.2)
            assert "Answers RDM" not in b.app.page.items
        assert b.input.ask_in(next(iter([Desk().step(0)]))) == (b"", False)


def test_it_is_said_under_about():
    """The maker's number is one of those that are kept for prototypes, 7FF0h to 7FFFh."""
    b = device()
    assert 0x7FF0 <= int.from_bytes(b.app.input.uid[:2], "big") <= 0x7FFF and len(b.app.input.uid) == 6
    b.app.open("about")
    b.run(0.5)
    assert "A desk finds it as 7FF0:5A000515." in " ".join(b.app.page.words)


def test_a_damaged_name_is_said_and_left_out():
    disk = MemoryDisk()
    device(disk=disk).cut_power()
    disk.write("rdm.json", b'{"crc":"00000000","label":"x"}')
    b = Bench(disk=disk, show=None)
    b.run(0.5)
    assert b"rdm.json" in disk.read("faults.log")
    assert b.app.input.responder.label_length == 0


def test_the_simulator_shows_the_exchange():
    """The desk of the page's list of feeds, its rows below those of the line, each in the time of E1.20."""
    live = Live("pico2_tft", "demo", {"CPython": OnPython})
    choose(live.session.machine.bench)
    live.session.play("rdm", lambda ms: bytes(512))
    live.session.step(600)
    rows = live.measured()["rows"][-3:]
    assert {row[0].split()[0] for row in rows} == {"Desk"} and all(row[3] for row in rows)
    live.session.step(3000)
    assert "7FF0:5A000515" in live.state()["feed"]
    assert "ask_in(" in live.session.recorder.text() or "ask_in(" in live.session.script()


def test_where_memory_is_short_light_and_feed_go_before(monkeypatch):
    """The heap of an RP2040 with many lamps: then it is said, and the port listens as before."""
    monkeypatch.setattr("gc.mem_free", lambda: 7_000, raising=False)
    b, desk = device(), Desk()
    serve(b, desk, 2)
    assert not desk.found and b"RDM is not answered" in b.disk.read("faults.log")
    assert b.app.feed.is_live() and b.app.input is b.input
    b.cut_power()
    b.boot()
    assert b.app.input is b.input and b.app.page_name == "light"
    monkeypatch.setattr("gc.mem_free", lambda: 64_000, raising=False)
    b.cut_power()
    b.boot()
    assert b.app.input.uid
