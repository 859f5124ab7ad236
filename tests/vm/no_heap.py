"""Runs on the unix VM: tick, knob, drawing, sending under a locked heap, where allocating raises. Prints "ok"."""

import gc
import sys

sys.path.insert(0, ".")
sys.path.insert(0, sys.argv[1])
gc.threshold(12288)  # as in firmware/main.py: what stays is packed at the low end
import micropython  # noqa: E402

from firmware.show import device_settings  # noqa: E402
from firmware.ui.frame import canvas, gestures, theme  # noqa: E402
from sim.hands import Keys, Knob  # noqa: E402
from sim.vm import Panel  # noqa: E402
from tests.vm.tick import stage  # noqa: E402

c = canvas.Canvas(Panel(320, 240, 4))  # early, as in the app: the largest pieces
s = stage()
s.go("A", 3)
for now in range(0, 3000, 23):
    s.step(now)
    micropython.heap_lock()
    s.move()
    s.make()
    micropython.heap_unlock()
knob, keys = Knob(), Keys()
g = gestures.Gestures(knob, keys, device_settings.defaults())
for now in range(0, 4000, 4):
    knob.move(now % 3 - 1)
    keys.set("push", now % 1000 > 200)
    micropython.heap_lock()
    g.poll(now)
    micropython.heap_unlock()
done = False
for n in range(40):
    micropython.heap_lock()
    c.box(n, n * 5, 50, 20, theme.TEXT)
    c.text("Key", n, n * 5, canvas.BODY, theme.HOT)
    while not done:
        done = c.flush()
    micropython.heap_unlock()
    done = False
micropython.heap_lock()
try:
    bytearray(100)
    said = "the lock does not hold"
except MemoryError:
    said = "ok"
micropython.heap_unlock()
print(said)
