"""What outlives a restart: restart_memory.py of hal/rp2 on the real VM's heap, of hal/esp32 on a stand-in for the RTC.
"""

import pathlib
import subprocess
import sys
import types

from tests.wire.rtc import rtc
from tests.wire.test_line_words import micropython

ROOT = pathlib.Path(__file__).parent.parent.parent
HEAP = """
import sys
sys.path.insert(0, %r)
class Machine:
    pass
machine = Machine()
machine.mem32 = {0x4005800C: 0}
sys.modules["machine"] = machine
rp2 = Machine()
rp2.DMA = None
sys.modules["rp2"] = rp2
import gc, uctypes
from hal.rp2 import restart_memory as memory
junk = [bytearray(1000) for n in range(20)]
junk = junk[::3]
print(memory.find("rp2040"))
free = gc.mem_free()
address, block = memory.reserve("rp2040", 3616)
low = 0
later = []
while gc.mem_free() > 20000:
    later.append(bytearray(500))
    low += uctypes.addressof(later[-1]) < address
print(len(later) > 200, low == len(later), free - gc.mem_free() - len(block) > 0, len(block))
print(hex(memory.find("rp2040")), hex(0x20000000 | address & 0xFFFFF))
"""


def test_the_block_lies_above_all_that_comes_later():
    """So that the next run's start, which fills the heap from the low end, does not touch it."""
    run = subprocess.run([micropython(), "-X", "heapsize=400k", "-c", HEAP % str(ROOT)], capture_output=True, text=True,
                         timeout=60)
    first, second, third = run.stdout.splitlines()
    assert first == "0", run.stderr
    assert second == "True True True 3616"
    assert len(set(third.split())) == 1


def test_esp32_keeps_in_the_rtc(monkeypatch):
    monkeypatch.setitem(sys.modules, "machine", types.SimpleNamespace(RTC=rtc()))
    monkeypatch.delitem(sys.modules, "hal.esp32.restart_memory", raising=False)
    from hal.esp32.restart_memory import RestartMemory

    memory = RestartMemory(2)
    assert memory.held(0) is memory.held(1) is None
    memory.store(0, bytes(range(100)))
    memory.store(1, b"\x07" * 512)
    again = RestartMemory(2)
    assert again.held(0) == bytes(range(100))
    assert again.held(1) == b"\x07" * 512
    assert RestartMemory(1).held(0) is None, "another number of ports: another layout"
    monkeypatch.delitem(sys.modules, "hal.esp32.restart_memory")
