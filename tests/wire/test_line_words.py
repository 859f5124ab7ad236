"""The quick loops in viper do what their plain twins do: on the real MicroPython VM."""

import pathlib
import shutil
import subprocess
import sys

import pytest

ROOT = pathlib.Path(__file__).parent.parent.parent
SCRIPT = """
import sys
sys.path.insert(0, %r)
from hal.rp2 import line_words as plain, line_words_viper as quick
import random
random.seed(4)
ring = bytearray(random.getrandbits(8) for n in range(64 * 2))
for n in range(64):
    if n %% 9:
        ring[2 * n + 1] = 255
for start in range(64):
    for at in (-1, 0, 3, 20):
        a, b = bytearray(20), bytearray(20)
        assert quick.slots(ring, start, 64, a, at) == plain.slots(ring, start, 64, b, at), (start, at)
        assert a == b
    a, b = bytearray(80), bytearray(80)
    quick.copy(a, start %% 16, ring, start)
    plain.copy(b, start %% 16, ring, start)
    assert a == b
from hal.rp2 import rdm_in_words, rdm_in_words_viper
whole = 0
for place in range(64):
    for depth, size in ((64, 5), (64, 8), (64, 63), (40, 20)):
        a, b = bytearray(size), bytearray(size)
        count = rdm_in_words.packet(ring, place %% depth, depth, a)
        assert rdm_in_words_viper.packet(ring, place %% depth, depth, b) == count and a == b
        whole += count > 5
assert whole > 20, whole
steps = b"\\x01\\x02\\x00\\x01\\x00\\x01\\x01\\x02\\x02\\x01\\x01\\x00\\x01\\x00\\x02\\x01"
turned = 0
for per in (2, 4):
    held, same = bytearray((4, 128)), bytearray((4, 128))
    phase, ways = 0, (3, 2, 0, 1)
    for _ in range(300):
        for n in range(128):
            samples = 0
            for _ in range(4):
                if random.getrandbits(3) == 0:
                    phase = (phase + random.choice((1, 1, 1, -1))) %% 4
                samples = samples << 2 | ways[phase]
            ring[n] = random.getrandbits(8) if random.getrandbits(6) == 0 else samples
        first, count = random.getrandbits(7), random.getrandbits(7)
        found = plain.detents(ring, first, count, 128, held, steps, per)
        assert found == quick.detents(ring, first, count, 128, same, steps, per)
        assert held == same
        turned += abs(found)
assert turned > 1000, turned
print("equal")
"""


def micropython():
    beside = pathlib.Path(sys.executable).parent / "micropython"
    found = str(beside) if beside.exists() else shutil.which("micropython")
    if found is None:
        pytest.skip("the MicroPython VM is not installed")
    return found


def test_equal():
    run = subprocess.run([micropython(), "-c", SCRIPT % str(ROOT)], capture_output=True, text=True, timeout=60)
    assert run.stdout == "equal\n", run.stderr
