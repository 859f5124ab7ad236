"""The receiving PIO program and what is made of it, against ANSI E1.11's receiver limits (tests/wire/waveforms.py).

Three ways to the same decision: the program in rp2040-pio-emulator, cycle by cycle; hal/rp2/line_in.py on rp2040py's
PIO and DMA; and sim/wave.Ear, the desktop's twin.
"""

import random
import types

import pytest

from hal.receiver import Receiver
from sim import wave
from tests.wire import emulated, waveforms
from tests.wire.chip import Chip
from tests.wire.hearing import Chips, twin


@pytest.fixture(scope="module")
def chips():
    with Chip() as chip:
        yield Chips(chip)


def test_twin_accepts_all_that_is_legal_and_nothing_else():
    for kind, edges, slots in waveforms.many(random.Random(11), 600):
        assert twin(edges)[0] == (None if kind else slots), kind


def test_chip_accepts_all_that_is_legal_and_nothing_else(chips):
    for kind, edges, slots in waveforms.many(random.Random(12), 44):
        found, counts = chips.hear(edges)
        assert found == (None if kind else slots), kind
        assert (found, counts) == twin(edges), "the desktop's twin decides and counts alike"


def test_the_program_says_the_same_in_the_other_emulator(chips):
    """rp2040-pio-emulator, which is exact to the cycle, pushes the items that rp2040py's PIO does."""
    for _kind, edges, _slots in waveforms.many(random.Random(13), 6):
        items = emulated.hear(edges, edges[-1][0] + 100_000)
        chips.hear(edges)
        ring = chips.line_in._ring.memory
        other = [ring[2 * n] | ring[2 * n + 1] << 8 for n in range(len(items))]
        first = next((n for n, item in enumerate(items) if item < 0x200), 0) + 1
        items[first] = other[first] = 0  # y as it was before the first low stretch: anything
        assert items == pytest.approx(other, abs=1)


LONG = [{name: us} for name in ("break_us", "mark_us", "gap_us", "pause_us") for us in (13_000, 13_150, 26_300, 39_400)]
# What looks short if the counter goes on after it has stopped: two stretches of high that come to a turn of it.
LONG += [{"mark_us": 13_500, "pause_us": us} for us in (13_200, 13_500)] + [{"gap_us": us} for us in (19_200, 19_400)]


@pytest.mark.parametrize("times", LONG, ids=str)
def test_times_that_go_beyond_the_counter(chips, times):
    """y counts to 13.1 ms; 16 bits of it are told, which come round after 26.2 ms. Longer times are heard as long."""
    pause = times.get("pause_us", 1_200)
    edges, end = wave.packet(1_000_000, bytes((5, 6)), **{n: us for n, us in times.items() if n != "pause_us"})
    edges += wave.packet(end + 1_000 * pause, b"", 92, 12)[0]
    found, counts = chips.hear(edges)
    assert found == bytes((5, 6))
    assert counts["good"] == 1 and sum(counts.values()) == 1


@pytest.mark.parametrize("name, count, break_us, mark_us", [
    ("break of 88 µs", 40, 88, 12),
    ("mark of 8 µs", 40, 92, 8),
    ("1,196 µs break to break", 24, 88, 8),
])
def test_just_legal_is_accepted(chips, name, count, break_us, mark_us):
    # E1.11, receiver: break >= 88 µs, mark >= 8 µs, break to break >= 1,196 µs: exactly 88 + 8 + 25 * 44.
    slots = bytes(range(0xA0, 0xA0 + count))
    edges, end = wave.packet(1_000_000, slots, break_us, mark_us)
    edges += wave.packet(end, b"\x55", 88, 8)[0]
    assert chips.hear(edges)[0] == slots
    assert twin(edges)[0] == slots


@pytest.mark.parametrize("name, level", [("low", 0), ("high", 1)])
def test_a_stuck_line_keeps_the_last_frame(chips, name, level):
    good, end = wave.packet(1_000_000, bytes(range(100)), 92, 12)
    good += wave.packet(end, b"\x55", 92, 12)[0]
    found, counts = chips.hear([*good, (good[-1][0] + 44_000, level)])
    assert found == bytes(range(100))
    assert counts["good"] == 1


def test_silence_is_counted_once(chips):
    good, end = wave.packet(1_000_000, bytes(512), 92, 12)
    chips.hear(good)  # all slots came: it is whole although no break follows
    chip, line_in = chips.chip, chips.line_in
    assert line_in.receiver.counts["good"] == 1
    line_in.listen(True)
    for _ in range(50):
        chip.run(100)
        chip.skipped_ms += 40
        assert line_in.take() is None
    assert line_in.receiver.counts["lost"] == 1


def test_noise_is_never_a_packet(chips):
    dice = random.Random(3)
    now, edges = 1_000_000, []
    while now < 60_000_000:
        edges += [(now, 0), (now + dice.randrange(100, 60_000), 1)]
        now = edges[-1][0] + dice.randrange(100, 60_000)
    found, _counts = chips.hear(edges)
    assert found is None


def test_read_too_late(chips):
    """The ring overruns: that is counted, and the next whole packet comes through."""
    chip, line_in = chips.chip, chips.line_in
    edges, now = [], chip.ns + 1_000_000
    for n in range(10):
        packet, now = wave.packet(now, bytes([n]) * 512, 92, 12)
        edges += packet
    line_in.receiver = Receiver()
    chip.play(5, edges)
    line_in.listen(True)
    chip.run(160_000)
    assert line_in.take() is None
    assert line_in.receiver.counts["lost"] == 1
    found = []
    while chip.ns < now + 25_000_000:
        chip.run(10_000)
        packet = line_in.take()
        found += [] if packet is None else [bytes(packet)]
    assert found[-1] == bytes([9]) * 512
    assert all(len(set(packet)) == 1 for packet in found), "no packet is made of two"
    line_in.listen(False)


def test_every_packet_in_turn(chips):
    """As hal/contract.Line.every asks: what came while the processor was held up for 130 ms comes out in order."""
    chip, line_in = chips.chip, chips.line_in
    edges, now = [], chip.ns + 1_000_000
    for n in range(12):
        packet, now = wave.packet(now, bytes([n]) * 512, 92, 12)
        edges += packet
    line_in.receiver = Receiver()
    chip.play(5, edges)
    line_in.listen(True)
    line_in.receiver.every = True
    found = []
    while chip.ns < now + 130_000_000:
        chip.run(130_000)
        packet = line_in.take()
        while packet is not None:
            found.append(packet[0])
            packet = line_in.take()
    line_in.listen(False)
    assert found == list(range(12))
    assert line_in.receiver.counts["lost"] == 0


@pytest.mark.parametrize("power", [28, 29, 30, 31, 32])
def test_a_line_that_falls_silent_where_ticks_wrap(power):
    """It is counted as lost once, 1.25 s after its last packet (hal/receiver.py)."""
    receiver = Receiver()
    for ms in range(-500, 4000, 20):
        if ms < 0:
            receiver.low(1760, 120, 300000, True)
            for value in (0, 7, 8):
                receiver.put(value)
            receiver.finish()
        receiver.take(((1 << power) + ms) % (1 << 30))
        assert receiver.counts["lost"] == (1 if ms > 1250 - 20 else 0), ms


@pytest.mark.parametrize("days", [1, 7, 12, 14])
def test_a_line_that_was_not_asked_for_days(chips, monkeypatch, days):
    """What the ring holds then is of no known age: nothing of it is handed up."""
    line_in, ticks = chips.line_in, types.SimpleNamespace(ms=1000)
    time = types.SimpleNamespace(ticks_ms=lambda: ticks.ms % (1 << 30),
                                 ticks_diff=lambda a, b: (a - b + (1 << 29)) % (1 << 30) - (1 << 29))
    monkeypatch.setattr(chips.chip.module("line_in"), "time", time)
    line_in.listen(True)
    line_in.take()
    lost = line_in.receiver.counts["lost"]
    ticks.ms += days * 86_400_000
    monkeypatch.setattr(line_in._ring, "fresh", lambda: 600)
    assert line_in.take() is None
    assert line_in.receiver.counts["lost"] == lost + 1
