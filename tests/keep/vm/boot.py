"""How long the VM computes from power-up to the first right frame: micropython tests/keep/vm/boot.py FOLDER.

FOLDER holds a device's files. Prints: ms to the first frame handed to the line, ms until the app is ready, and µs an
iteration of a bare loop, by which other machines can be compared.
"""

import sys
import time

if "." not in sys.path:
    sys.path.insert(0, ".")


def loop(n):
    """A bare loop."""
    s = 0
    for i in range(n):
        s += i
    return s


def main(folder):
    """Power up once."""
    from hal.disk import Disk
    from sim.vm import Bare, Line, Panel

    sent = []
    Line.send = lambda line, slots: sent.append(time.ticks_us())
    start = time.ticks_us()
    Bare(Disk(folder), Panel(320, 240, 4))
    ready = time.ticks_us()
    loop(100000)
    looped = time.ticks_us()
    print(time.ticks_diff(sent[0], start) / 1000, time.ticks_diff(ready, start) / 1000,
          time.ticks_diff(looped, ready) / 100000)


main(sys.argv[1])
