"""hal/rp2/line.py on the PIO and DMA of an emulated RP2040 that runs no program: what goes on goes on by itself."""

import random

import pytest

from firmware.wire import dmx
from sim import wave
from sim.line import Line as DesktopLine
from tests.wire.chip import Chip
from tests.wire.heard import heard

TX, DRIVE = 0, 2


@pytest.fixture
def chip():
    with Chip() as chip:
        yield chip


def port(chip, machine=0, tx=TX, drive=DRIVE, **more):
    module = chip.module("line")
    return module.Line(machine, tx, drive, chip.block(chip.module("line_records").SIZE), **more)


def packets(edges):
    """[(µs at the start of the break, slots)] of the packets whose end was heard, and the receiver's counts."""
    found, counts = heard(edges[1:] if edges and edges[0][1] else edges)
    starts = [a // 1000 for (a, low), (b, _) in zip(edges, edges[1:], strict=False) if not low and b - a >= 88_000]
    return list(zip(starts, found, strict=False)), counts


def pause(chip, dice):
    chip.run(dice.randrange(500, 40_000))


def test_a_frame_is_repeated_for_ever(chip):
    edges, line = chip.watch(TX), port(chip)
    slots = bytes(random.Random(1).randrange(256) for _ in range(512))
    line.send(slots)
    chip.run(500_000)
    found, counts = packets(edges)
    assert len(found) >= 20
    assert {packet for _, packet in found} == {slots}
    assert sum(counts.values()) == counts["good"]
    starts = [start for start, _ in found]
    assert {b - a for a, b in zip(starts, starts[1:], strict=False)} == {22_716}


def test_no_packet_is_torn(chip):
    """Frames of one value each, sent at random moments, two in a row now and then."""
    dice, edges, line = random.Random(2), chip.watch(TX), port(chip)
    for n in range(70):
        line.send(bytes([n]) * 512)
        if n % 3:
            pause(chip, dice)
    found, counts = packets(edges)
    assert all(len(set(packet)) == 1 for _, packet in found)
    assert counts["framing"] == counts["short"] == counts["long"] == 0
    assert len(found) > 30


def test_a_frame_is_announced_when_it_is_whole(chip, monkeypatch):
    """Copying takes time on a chip, and the DMA goes on meanwhile: here a packet passes while each frame is copied."""
    module, edges = chip.module("line"), chip.watch(TX)
    copy = module.copy

    def slow(memory, at, slots, count):
        for first in range(0, count, 64):
            part = slots[first:first + 64]
            copy(memory, at + first, part, len(part))
            chip.run(4_000)

    line = port(chip)
    line.send(bytes(512))
    monkeypatch.setattr(module, "copy", slow)
    for n in range(1, 12):
        line.send(bytes([n]) * 512)
    chip.run(50_000)
    found, _counts = packets(edges)
    values = [set(packet) for _, packet in found]
    assert all(len(value) == 1 for value in values)
    assert len(set.union(*values)) > 8


def test_the_desktop_chooses_the_same_frames(chip):
    class Clock:
        def us(self):
            return chip.ns // 1000

    for hz in (0, 25):
        dice, edges, line, twin = random.Random(3), chip.watch(TX), port(chip, hz // 25), DesktopLine(Clock())
        for end in (line, twin):
            end.timing(hz=hz)
        for n in range(25):
            slots = bytes([n]) * 512
            line.send(slots)
            twin.send(slots)
            pause(chip, dice)
        found, _ = packets(edges)
        assert [packet[0] for _, packet in found] == [slots[0] for _, slots in twin.packets][: len(found)]


@pytest.mark.parametrize("hz", [1, 10, 40, 43, 44])
def test_refresh_is_limited_by_the_chip_alone(chip, hz):
    edges, line = chip.watch(TX), port(chip)
    line.timing(hz=hz)
    line.send(bytes(512))
    chip.run(2_200_000 if hz == 1 else 300_000)
    starts = [start for start, _ in packets(edges)[0]]
    assert {b - a for a, b in zip(starts, starts[1:], strict=False)} == {-(-1_000_000 // hz)}


def test_timing_and_length_change_between_packets(chip):
    edges, line = chip.watch(TX), port(chip)
    for count, timing in ((512, (128, 16)), (24, (92, 12)), (200, (500, 60)), (512, (92, 12))):
        line.timing(0, *timing)
        line.send(bytes([count & 255]) * count)
        chip.run(60_000)
    found, counts = packets(edges)
    assert {len(packet) for _, packet in found} == {512, 24, 200}
    assert all(len(set(packet)) == 1 for _, packet in found)
    assert counts["good"] == len(found) and counts["short"] == counts["framing"] == 0


def test_timing_keeps_the_slots(chip):
    edges, line = chip.watch(TX), port(chip)
    line.send(bytes(range(100)))
    line.timing(hz=20, break_us=300)
    chip.run(200_000)
    assert packets(edges)[0][-1][1] == bytes(range(100))


def test_drive(chip):
    edges, enable, line = chip.watch(TX), chip.watch(DRIVE), port(chip)
    line.send(bytes(512))
    chip.run(30_000)
    line.drive = False
    count = len(edges)
    chip.run(50_000)
    assert len(edges) <= count + 1, "nothing is sent while the line is not driven"
    line.send(b"\x07" * 512)
    again = chip.ns // 1000
    line.drive = True
    chip.run(70_000)
    assert [level for _, level in enable] == [0, 1, 0, 1]
    found, _ = packets([e for e in edges if e[0] >= again * 1000])
    assert found[0][1] == b"\x07" * 512, "it begins again with a whole packet"


def test_two_ports(chip):
    one, two = chip.watch(0), chip.watch(4)
    lines = [port(chip), port(chip, 1, 4, 6)]
    lines[0].send(b"\x11" * 512)
    chip.run(3_333)
    lines[1].send(b"\x22" * 60)
    chip.run(200_000)
    for edges, value in ((one, 0x11), (two, 0x22)):
        found, counts = packets(edges)
        assert {frozenset(packet) for _, packet in found} == {frozenset([value])}
        assert sum(counts.values()) == counts["good"] > 5


def test_receives_only_while_it_does_not_drive(chip):
    line_in = chip.module("line_in").LineIn(4, 1)
    line = port(chip, line_in=line_in)
    edges, end = wave.packet(1_000_000, bytes(range(200)))
    edges += wave.packet(end, b"")[0]
    assert line.has_input and line.received() is None
    line.drive = False
    chip.play(1, edges)
    chip.run(20_000)
    assert bytes(line.received()) == bytes(range(200))
    assert line.counts["good"] == 1
    line.drive = True
    assert line.received() is None


def test_what_was_sent_is_found_again_in_memory(chip):
    module = chip.module("line_records")
    address, memory = block = chip.block(module.SIZE)
    assert module.held_in(address) is None, "nothing there after power-up"
    line = chip.module("line").Line(0, TX, DRIVE, block)
    assert module.held_in(address) is None, "nor before anything is sent"
    line.send(b"\x01" * 512)
    line.send(bytes(range(48)))
    assert module.held_in(address) == bytes(range(48))
    second = module.FIRST + module.RECORD  # the newest
    for place in (0, module._GUARD, second + module._COUNT, second + module._READ):
        kept = bytes(memory[place : place + 4])
        memory[place : place + 4] = b"\xa5\x5a\xff\x13"
        assert module.held_in(address) is None, "what does not hang together is not put on the line"
        memory[place : place + 4] = kept
    assert module.held_in(address) == bytes(range(48))


@pytest.mark.parametrize("wrong", [{"break_us": 91}, {"mark_us": 11}, {"hz": 831}])
def test_refuses_timing_outside_e111(chip, wrong):
    with pytest.raises(ValueError):
        port(chip).timing(**wrong)


@pytest.mark.parametrize("count", [0, 23, 513])
def test_refuses_lengths_outside_24_to_512(chip, count):
    line = port(chip)
    for ready in (False, True):
        with pytest.raises(ValueError):
            line.send(bytes(count))
        line.timing(40)
        if not ready:
            line.send(bytes(512))


def test_a_port_takes_memory_when_it_sends(chip):
    """The input, which may never send, until it does."""
    edges, free = chip.watch(TX), chip._free
    line = chip.module("line").Line(0, TX, DRIVE)
    line.drive = False
    line.timing(40)
    assert chip._free == free
    line.drive = True
    line.send(b"\x03" * 100)
    chip.run(60_000)
    assert {packet for _, packet in packets(edges)[0]} == {b"\x03" * 100}


def test_the_words_of_the_program_match_the_table(chip):
    """Least break and mark reach the wire as the table says, in the chip's own record."""
    edges, line = chip.watch(TX), port(chip)
    line.timing(break_us=dmx.BREAK_MIN_TX_US, mark_us=dmx.MARK_MIN_TX_US)
    line.send(b"\xff" * 24)
    chip.run(3_000)
    first = [ns for ns, _ in edges if ns][:3]
    assert first[1] - first[0] == dmx.BREAK_MIN_TX_US * 1000
    assert first[2] - first[1] == dmx.MARK_MIN_TX_US * 1000
