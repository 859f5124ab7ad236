"""Runs on the unix VM: the app with two universes and two ports. What is sent after the first frame must allocate
nothing. Prints "ok"."""

import gc
import sys

sys.path.insert(0, ".")
sys.path.insert(0, sys.argv[1])
gc.threshold(12288)  # as in firmware/main.py: what stays is packed at the low end
import micropython  # noqa: E402

from firmware.app import App  # noqa: E402
from hal.disk import Disk  # noqa: E402
from sim.hands import Board, Clock  # noqa: E402
from sim.vm import Line, Panel  # noqa: E402

clock, lines = Clock(), (Line(), Line())
board = Board("bare", "none", lines, Panel(128, 64, 1), Disk(sys.argv[2]), clock)
board.outs, board.lamps = 2, 128
app = App(board)


def run(steps):
    for _ in range(steps):
        clock.pass_us(4000)
        app.step(clock.ms())


run(20)
assert bytes(lines[1].slots) == bytes(512) and len(app.stage.frame) == 512
far = app.show.rig.add("rgbw", "Far", 613)
near = app.show.rig.fixtures[0]
run(20)
app.stage.dial(far, level=1.0)
run(20)
said = "ok"
for step in range(50):
    app.stage.dial(far, level=step / 50)
    app.stage.dial(near, level=step / 50)
    app.stage.step(clock.ms() + step)
    micropython.heap_lock()
    try:
        app.send(app.stage.frame)
    except MemoryError:
        said = "sending allocates"
    micropython.heap_unlock()
    if bytes(lines[0].slots) + bytes(lines[1].slots) != bytes(app.stage.frame):
        said = "another frame goes out"
assert len(app.stage.frame) == 1024 and any(lines[1].slots)
# The second universe goes, and one is sent as before, with zeros to the other cable.
from firmware.parts import once  # noqa: E402

once("firmware.show.rig_edit", "remove", app.show.rig, far)
run(20)
app.stage.dial(near, level=0.7)
run(20)
assert bytes(lines[0].slots) == bytes(app.stage.frame) and bytes(lines[1].slots) == bytes(512)
print(said)
