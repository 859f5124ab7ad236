"""tests/chip's mended emulator, without an image: the line keeps its time whatever a processor does beside it."""

import pytest

from sim import wave
from tests.chip import emulated, look
from tests.chip.bare import needs_compiler
from tests.wire.chip import Chip

pytestmark = needs_compiler
LOOPS = {
    "a stuck loop": (0xE7FE,),  # b .
    "asleep": (0xBF30, 0xE7FD),  # wfi; b to it
    "busy": (0x3001, 0x1840, 0xE7FC),  # adds, adds, b
}


@pytest.mark.parametrize("loop", LOOPS)
def test_the_line_goes_on_beside(loop):
    chip = emulated.Emulated()
    emulated.spin(chip, LOOPS[loop])
    with Chip(chip.mcu) as pins:
        module = pins.module("line")
        edges = chip.watch(0)
        module.Line(0, 0, 2, pins.block(pins.module("line_records").SIZE)).send(bytes(range(256)) * 2)
        chip.run(50)
    begun = edges[1][0]
    wanted = wave.packet(begun, bytes(range(256)) * 2)[0] + wave.packet(begun + 22_716_000, bytes(range(256)) * 2)[0]
    worst = max(abs(a - b) for (a, _), (b, _) in zip(edges[1:], wanted, strict=False))
    assert len(edges) > len(wanted)
    assert worst <= 200, "the processor's instructions are not split: a few cycles"
    assert [packet for _, packet in look.packets(edges)] == [bytes(range(256)) * 2] * 2


def test_figures_of_a_line():
    edges, now = [], 1_000_000
    for n in range(4):
        packet, now = wave.packet(now, bytes([n] * 512), 100, 14)
        edges += packet
        now += 1000 * n
    found = look.timing(edges)
    assert (found["break_us"], found["mark_us"], found["bit_error_percent"]) == (100, 14, 0)
    assert found["jitter_us"] == 2
    assert found["refresh_hz"] == pytest.approx(1e9 / 22_688_000, rel=1e-6)
