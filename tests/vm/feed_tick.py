"""Runs on the VM: a feed's step with 40 lamps under heap_lock, its time, and the heap that the feed takes.
Prints "locked N", "us MEAN" and "heap BYTES"."""

import gc
import sys
from time import ticks_diff, ticks_us

import micropython

sys.path.insert(0, ".")
sys.path.insert(0, sys.argv[1])
from tests.vm.tick import stage  # noqa: E402


class Source:
    """Hands up one of two packets in turn."""

    def __init__(self):
        self.packets = [memoryview(bytearray([n] * 512)) for n in (20, 21)]
        self.at = 0
        self.fresh = False

    def received(self):
        if not self.fresh:
            return None
        self.fresh = False
        self.at ^= 1
        return self.packets[self.at]


s = stage(count=40)
s.dial(s.show.rig.fixtures[0], level=0.5)
s.step(0)
gc.collect()
before = gc.mem_alloc()
from firmware.stage.feed import Feed  # noqa: E402
from firmware.stage.feed_tables import LATEST  # noqa: E402

source = Source()
rules = {f.uid: LATEST for f in s.show.rig.fixtures[::3]}
feed = Feed(s, source, {"on": 1, "lost": 0, "lost_ms": 5000, "back_ms": 2000, "rules": rules}, 0)
gc.collect()
print("heap", gc.mem_alloc() - before)


def timed(steps):
    """Mean µs of a step with a new packet, the heap locked."""
    total = now = 0
    micropython.heap_lock()
    for _ in range(steps):
        now += 23
        source.fresh = True
        begin = ticks_us()
        feed.step(now)
        total += ticks_diff(ticks_us(), begin)
    micropython.heap_unlock()
    return total / steps


source.fresh = True
feed.step(1)  # the first packet begins a fade, which takes a copy
mean = timed(300)
print("locked 300")
print("us", mean)
