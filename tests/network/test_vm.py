"""sACN as a source of the feed on the real MicroPython VM, compiled as it is shipped: what it takes of the heap."""

import pytest

from tests.network.test_e131 import made
from tests.vm import runner


@pytest.mark.parametrize(("out", "cable", "second"), [(0, 0, 0), (7, 0, 0), (7, 1, 0), (7, 0, 8)])
def test_a_step_allocates_nothing(tmp_path, out, cable, second):
    """Neither at rest nor for a packet; what the ESP32's socket makes for each is the radio's. MicroPython's
    documentation of gc.mem_alloc; words of this VM are 64 bits, a chip's half as wide."""
    path = tmp_path / "packets"
    path.write_bytes(b"".join(made(bytes([n] * 512), sequence=n) for n in range(50)))
    said = runner.run("tests/network/vm_feed.py", path, str(out), str(cable), str(second))
    code, taken, rest, packet, good, slot, sent = map(int, said.split())
    print(f"sACN takes {code} bytes of code, {taken} of data")
    assert (rest, packet) == (0, 0)
    assert (good, slot) == (50, 49)
    # With the list of universes; the second is dark, and goes out three times and then every 0.9 s (ANSI E1.31, 6.6.1).
    assert sent == (51 if out else 0) + (4 if second else 0)
    assert taken < (14_500 if second else 12_000 if out else 6_000)
