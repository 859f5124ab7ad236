"""main.py of the emulated board: a line that shows the knob in its slot 1, through everything that may hold it up.

Slot 2 tells what is going on: 1 nothing, 2 collecting, 3 writing flash, 4 stuck for good; 5 after the restart.
"""

import gc
import os
import time

from boards import load
from hal.rp2.make import make

board = make(load("pico_tft"))
line = board.lines[0]
held = line.held()
print("held", held and (held[0], held[1]), board.power.restarted, gc.mem_free())
slots = bytearray(512)
for n in range(512):
    slots[n] = n & 255
turns = held[0] if held else 0


def go_on(what, ms):
    """Steps of 10 ms, as the app's."""
    global turns
    until = time.ticks_add(time.ticks_ms(), ms)
    while time.ticks_diff(until, time.ticks_ms()) > 0:
        turns += board.knob.turns()
        slots[0] = turns & 255
        slots[1] = what
        line.send(slots)
        if what == 2:
            gc.collect()
        if what == 3:
            board.disk.write("scratch.bin", bytes(4096))
        time.sleep_ms(10)


if held:
    go_on(5, 150)
    print("done")
    raise RuntimeError("on purpose: the line goes on")
go_on(1, 250)
go_on(2, 100)
go_on(3, 100)
os.remove("scratch.bin")
go_on(4, 30)
board.power.watchdog(300)
while True:
    pass
