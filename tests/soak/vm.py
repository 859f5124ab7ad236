"""The soak on the MicroPython VMs: on the 32-bit one the heap is weighed at the same place before and after, on the
64-bit one all happens in a heap of a chip's size. The script that runs there is vm_hand.py."""

import pathlib
import re
import tempfile

from sim.disk import FolderDisk
from tests.bench.weight import pieces, scene
from tests.soak import walk
from tests.vm import runner

# What a MicroPython image leaves on an RP2040, and 16 KB for what the stand-ins of the board note and for full names,
# which an RP2040 does without; objects of this VM are twice as large as a chip's.
HEAP = "256k"
# What files the monkey may change is put back before the heap is weighed.
_KEEP = """import os
yard = {}
for name in disk.list("shows/yardstick"):
    if name[-1] != "/":
        yard[name] = disk.read("shows/yardstick/" + name)
"""
_BACK = """for name in disk.list("shows/yardstick"):
    if name[-1] != "/" and name not in yard:
        disk.remove("shows/yardstick/" + name)
for name in yard:
    disk.write("shows/yardstick/" + name, yard[name])
hand.rest()
"""


_WEIGH = """print("weigh")
import micropython
micropython.qstr_info()
"""


def write(folder):
    """The demo show and the yardstick in a folder."""
    disk = FolderDisk(str(folder))
    for path, data in sorted(walk.Soak(1).files.items()):
        for parent in list(pathlib.PurePosixPath(path).parents)[-2::-1]:
            disk.mkdir(str(parent))
        disk.write(path, data)


def wasm(gestures, seed, size=(128, 64, 1), power=0, folder_name=""):
    """Walk on the 32-bit VM -> bytes of heap after each fifth of the gestures, at the same place, without the names,
    which stay for good: most come into being in the first. power: it is that old, a power of two of ms. folder_name: a
    part of the folder's name: how long that is changes what the collector takes for an address."""
    hand = (runner.ROOT / "tests/soak/vm_hand.py").read_text()
    with tempfile.TemporaryDirectory(suffix=folder_name) as folder:
        write(folder)
        script = scene(folder, "x".join(map(str, size)))
        script[-1] = runner.scene_head() + _KEEP + hand
        age = (1 << power) - 10_000 if power else 0
        script += [f"hand = Hand(disk, {size!r}, {seed}, {age})"]
        part = ["hand.walk(20, False)"] * (gestures // 100) + [_BACK] * 2 + [_WEIGH]
        script += part * 5 + ["print('walked', hand.gestures)"]
        said = pieces(script, folder)
    assert f"walked {gestures}" in said, said[-2000:]
    weighed = re.findall(r"^weigh$.*?n_total_bytes=(\d+).*?^heap (\d+)$", said, re.M | re.S)
    return [int(heap) - int(names) for names, heap in weighed]


def unix(gestures, seed, size=(128, 64, 1)):
    """Walk on the 64-bit VM in a small heap, with restarts -> (restarts, steps for which there was no memory)."""
    with tempfile.TemporaryDirectory() as folder:
        write(pathlib.Path(folder) / "disk")
        script = pathlib.Path(folder) / "script.py"
        hand = (runner.ROOT / "tests/soak/vm_hand.py").read_text()
        script.write_text(runner.scene_head() + hand + f"""
hand = Hand(disk, {size!r}, {seed}, 0)
hand.walk({gestures}, True)
print("walked", hand.gestures, hand.restarts, hand.gave_way)
""")
        said = runner.run(script, pathlib.Path(folder) / "disk", heap=HEAP, timeout=3600)
    walked = re.search(r"^walked (\d+) (\d+) (\d+)$", said, re.M)
    assert walked and int(walked[1]) == gestures, said[-2000:]
    return int(walked[2]), int(walked[3])
