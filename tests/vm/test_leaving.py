"""Pages that are opened and left, again and again, take no memory that they do not give back.

The first round brings names, which MicroPython keeps for good. Words that were left on the VM's stack hold now and then
what was dropped: of several readings at the end of a round the least counts, as in tests/bench/size.py.
"""

from sim import demo
from sim.disk import FolderDisk
from tests.bench.size import PAGES
from tests.bench.weight import found, pieces, scene

ROUNDS, READINGS = 3, 6
SETUP = """
app = device.app
app.machines.running_order().order.fill(list(app.show.looks.ids))
app.stage.look_number = 0
app.open("effects")
parts = __import__("firmware.parts", None, None, ("Part",))
part = parts.Part("firmware.show.effect_settings")
app.stage.effects.add(part.module.new("Flame", [1]))
part.close()
del part
def look(name, *args):
    app.open(name, *args)
    device.run(0.1)
    if app.page_name != name:
        raise ValueError(name, app.screen.message)
def leave():
    app.open("home")
    device.run(0.1)
leave()
"""
FIRST = {"run": "run", "effect": "effects", "feed": "feed", "capture": "feed"}  # what a page's machine is opened by


def opened(page):
    """A piece that opens a page of PAGES, and its machine before it."""
    machine = next((FIRST[start] for start in FIRST if page.startswith("'" + start)), "home")
    return f"app.open({machine!r})\nf = app.show.rig.fixtures[3]\nlook({page})\ndel f"


def test_rounds_over_all_pages_end_with_the_same_heap(tmp_path):
    folder = str(tmp_path / "disk")
    demo.write(FolderDisk(folder))
    once_around = [piece for page in PAGES for piece in (opened(page), "leave()")] + ["leave()"] * READINGS
    parts = scene(folder, "128x64x1") + ["device.run(1)", SETUP] + once_around * ROUNDS
    heaps = found(pieces(parts, folder, small=True))[-len(once_around) * ROUNDS:]
    ends = [min(heaps[at - READINGS:at]) for at in range(len(once_around), len(heaps) + 1, len(once_around))]
    assert len(ends) == ROUNDS
    assert max(ends[1:]) <= ends[0] + 256, ends
