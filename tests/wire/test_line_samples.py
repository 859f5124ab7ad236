"""hal/esp32's receiver: sampled waveforms against ANSI E1.11's receiver limits, and its viper twin on the VM."""

import importlib
import pathlib
import random
import subprocess
import sys
import types

import pytest

import boards
from boards import chips
from sim import wave
from tests.wire import waveforms
from tests.wire.test_line_words import micropython

ROOT = pathlib.Path(__file__).parent.parent.parent
SAMPLE_NS = 500


def sampled(edges, count):
    """`count` samples from 0 ns on, as the I2S driver hands them up: 32-bit words, the oldest in bit 31."""
    bits, place, level = bytearray(count), 0, 1
    for n in range(count):
        while place < len(edges) and edges[place][0] <= n * SAMPLE_NS:
            level = edges[place][1]
            place += 1
        bits[n] = level
    found = bytearray()
    for n in range(0, count, 32):
        found += int("".join(map(str, bits[n : n + 32])), 2).to_bytes(4, "little")
    return found


class Driver:
    """machine.I2S in its non-blocking mode: readinto() is answered by the handler when the buffer is full."""

    RX, STEREO = 0, 1
    made = []

    def __init__(self, unit, **options):
        assert options["rate"] * 64 == 2_000_000 and options["bits"] == 32
        Driver.made.append(self)
        self.buffer = None

    def irq(self, handler):
        self.handler = handler

    def readinto(self, buffer):
        self.buffer = buffer

    def deinit(self):
        self.buffer = None

    def bring(self, data):
        buffer, self.buffer = self.buffer, None
        buffer[:] = data
        self.handler(self)


@pytest.fixture
def line_in(monkeypatch):
    monkeypatch.setitem(sys.modules, "machine", types.SimpleNamespace(I2S=Driver, Pin=lambda number: number))
    monkeypatch.delitem(sys.modules, "hal.esp32.line_in", raising=False)
    module = importlib.import_module("hal.esp32.line_in")
    clock = types.SimpleNamespace(now=0, ticks_diff=lambda a, b: a - b)
    clock.ticks_ms = lambda: clock.now
    module.time = clock
    made = module.LineIn(0, 6, 8, 15)
    made.clock = clock
    yield made
    sys.modules.pop("hal.esp32.line_in")


def hear(line_in, edges, idle_us=40_000):
    """Slots handed up (or None) of a waveform from a fresh start."""
    from hal.receiver import Receiver

    line_in.receiver = Receiver()
    line_in.listen(True)
    count = -(-(edges[-1][0] // 1000 + idle_us) * 2 // 32_768) * 32_768
    data, found = sampled(edges, count), []
    for at in range(0, len(data), 4096):
        Driver.made[-1].bring(data[at : at + 4096])
        line_in.clock.now += 16
        packet = line_in.take()
        found += [] if packet is None else [bytes(packet)]
    return found[-1] if found else None


def test_accepts_all_that_is_legal_and_nothing_else(line_in):
    for kind, edges, slots in waveforms.many(random.Random(21), 66):
        assert hear(line_in, edges, 2_000) == (None if kind else slots), kind


def test_just_legal(line_in):
    # E1.11, receiver: break >= 88 µs, mark >= 8 µs, break to break >= 1,196 µs.
    slots = bytes(range(0xA0, 0xA0 + 24))
    edges, end = wave.packet(1_000_000, slots, 88, 8)
    assert hear(line_in, edges + wave.packet(end, b"\x55", 88, 8)[0]) == slots


def test_a_full_packet_needs_no_break_after_it(line_in):
    assert hear(line_in, wave.packet(1_000_000, b"\x07" * 512)[0]) == b"\x07" * 512
    assert hear(line_in, wave.packet(1_000_000, b"\x07" * 511)[0]) is None, "a shorter one may go on"


def test_every_packet_in_turn(line_in):
    """As hal/contract.Line.every asks: a buffer of the driver has many short packets, and all come out in order."""
    from hal.receiver import Receiver

    edges, now, found = [], 1_000_000, []
    for n in range(40):
        packet, now = wave.packet(now, bytes([n]) * 24, 92, 12)
        edges += packet
    edges += wave.packet(now, b"\x55", 92, 12)[0]
    line_in.receiver = Receiver()
    line_in.listen(True)
    line_in.receiver.every = True
    data = sampled(edges, 5 * 32_768)
    for at in range(0, len(data), 4096):
        Driver.made[-1].bring(data[at : at + 4096])
        line_in.clock.now += 16
        packet = line_in.take()
        while packet is not None:
            found.append(packet[0])
            packet = line_in.take()
    assert found == list(range(40))
    assert line_in.receiver.counts["lost"] == 0


def test_read_too_late(line_in):
    """All buffers full: counted, and hearing begins anew."""
    line_in.listen(True)
    driver = Driver.made[-1]
    while driver.buffer is not None:
        driver.bring(b"\xff" * 4096)
    assert line_in.take() is None
    assert line_in.receiver.counts["lost"] == 1
    assert Driver.made[-1] is not driver and Driver.made[-1].buffer is not None


def test_a_late_handler_is_noticed(line_in):
    line_in.listen(True)
    line_in.clock.now += 200
    Driver.made[-1].bring(b"\xff" * 4096)
    assert line_in.take() is None
    assert line_in.receiver.counts["lost"] == 1


TWINS = """
import sys
sys.path.insert(0, %r)
from array import array
from hal.esp32 import line_samples as plain, line_samples_viper as quick
data = bytes.fromhex(%r)
for n in (0, 5, 1000):
    a, b = array("i", [0] * 9), array("i", [0] * 9)
    a[plain.N] = b[plain.N] = n
    x, y = bytearray(40), bytearray(40)
    for _ in range(200):
        assert quick.scan(data, len(data) * 8, x, a) == plain.scan(data, len(data) * 8, y, b)
        assert a == b and x == y, (a, b)
print("equal")
"""


def test_twins_are_equal():
    data = b"".join(sampled(edges, 9_600) for _, edges, _ in waveforms.many(random.Random(22), 12))
    run = subprocess.run([micropython(), "-c", TWINS % (str(ROOT), data.hex())], capture_output=True, text=True,
                         timeout=60)
    assert run.stdout == "equal\n", run.stderr


def test_the_board_leaves_the_clock_pins_free():
    board = boards.load("s3_tft")
    asked = [pin for _, pin, _, _ in chips.asks(board)]
    pins = [pin for line in board.LINES for pin in line.get("clock", ())]
    assert len(set(pins)) == len(pins) == 2
    assert all(asked.count(pin) == 1 for pin in pins) and chips.opened(board) == pins
    assert all(chips.can(board.CHIP, pin, "gpio") for pin in pins)
