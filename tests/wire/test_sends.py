"""The sending PIO program, cycle by cycle in rp2040-pio-emulator, against ANSI E1.11's transmitter timing and
sigrok's DMX512 decoder."""

import random
import re
import shutil
import subprocess

import pytest

from firmware.wire import dmx
from sim import wave
from tests.wire import emulated

TIMINGS = [(92, 12), (128, 16), (176, 100), (1000, 12), (9_000, 900)]


def words(slots, break_us, mark_us, waits=()):
    """What hal/rp2/line.py lays out for one packet, written from the program's own description."""
    yield from (1 | (us - 6) << 1 for us in waits)
    yield len(slots) << 1 | (break_us - 2) << 11
    yield mark_us - 9
    yield 0
    yield from slots


def forever(*packet):
    while True:
        yield from words(*packet)


@pytest.mark.parametrize("break_us, mark_us", TIMINGS)
def test_every_edge_is_where_e111_wants_it(break_us, mark_us):
    slots = bytes(random.Random(break_us).randrange(256) for _ in range(30))
    until = 3 * dmx.length_us(30, break_us, mark_us)
    edges = emulated.send(forever(slots, break_us, mark_us), until)
    wanted, now = [], edges[0][0]
    while now < until * 1000:
        packet, now = wave.packet(now, slots, break_us, mark_us)
        wanted += packet
    assert edges == wanted[: len(edges)]
    # E1.11, transmitter, by name. Break and mark: read from the edges, not from what was asked.
    assert edges[1][0] - edges[0][0] >= 92_000, "break >= 92 µs"
    assert edges[2][0] - edges[1][0] >= 12_000, "mark after break >= 12 µs"
    gaps = [b - a for (a, _), (b, _) in zip(edges, edges[1:], strict=False) if b - a < 45_000]
    assert {gap % 4_000 for gap in gaps if gap < 36_000} == {0}, "a bit is 4 µs, to the cycle (E1.11: +- 2 %)"


def test_full_packets_come_44_times_a_second():
    # E1.11: 512 slots, 44 packets a second at the shortest timing; jitter goal of our own: 4 µs.
    edges = emulated.send(forever(bytes(range(256)) * 2, dmx.BREAK_US, dmx.MARK_US), 120_000)
    starts = [a for (a, low), (b, _) in zip(edges, edges[1:], strict=False) if not low and b - a >= 88_000]
    periods = {b - a for a, b in zip(starts, starts[1:], strict=False)}
    assert len(periods) == 1
    assert 1e9 / periods.pop() >= 44.0


def test_shortest_packet_keeps_the_least_break_to_break():
    # E1.11: break to break >= 1,204 µs, which 24 slots at the shortest timing just keep.
    edges = emulated.send(forever(bytes(24), 92, 12), 5_000)
    starts = [a for (a, low), (b, _) in zip(edges, edges[1:], strict=False) if not low and b - a == 92_000]
    assert {b - a for a, b in zip(starts, starts[1:], strict=False)} == {1_204_000}


@pytest.mark.parametrize("waits", [(6,), (7,), (50,), (50, 50, 49), (50,) * 20])
def test_waits_are_exact(waits):
    first, second = (words(bytes(24), 92, 12, w) for w in ((), waits))
    rest = forever(bytes(24), 92, 12)
    edges = emulated.send((w for source in (first, second, rest) for w in source), 4_000)
    starts = [a for (a, low), (b, _) in zip(edges, edges[1:], strict=False) if not low and b - a == 92_000]
    assert starts[1] - starts[0] == (1_204 + sum(waits)) * 1000


def test_sigrok_reads_every_byte(tmp_path):
    """An independent decoder; how it must be fed: sim/line.py save_vcd."""
    if shutil.which("sigrok-cli") is None:
        pytest.skip("sigrok-cli is not installed")
    slots = bytes(random.Random(7).randrange(256) for _ in range(512))
    edges = emulated.send(forever(slots, 128, 16), 3 * 22_716)
    file = tmp_path / "sends.vcd"
    file.write_text(wave.vcd(edges, edges[-1][0] + 100_000, stretch=1.005))
    assert decoded(file) == [0, *slots] * 3


def decoded(file):
    """The bytes that sigrok finds in a VCD file."""
    run = subprocess.run(
        ["sigrok-cli", "-i", str(file), "-I", "vcd", "-P", "dmx512:dmx=dmx", "-A", "dmx512=data:error"],
        capture_output=True, text=True, timeout=60, check=True)
    assert "rror" not in run.stdout
    return [int(value) for value in re.findall(r"(\d+) / 0x", run.stdout)]
