"""Runs on both VMs: the tick with effects and feed, the knob and the keys, at times around powers of two. Arguments:
folder of tick.py, "lock" or "count". With "lock" their heap is locked. Prints a line for each time: the power, and the
bytes that the same steps took."""

import gc
import sys

sys.path.insert(0, ".")
sys.path.insert(0, sys.argv[1])
gc.threshold(12288)
import micropython  # noqa: E402
from tick import stage  # noqa: E402

from firmware.show import device_settings, effect_settings  # noqa: E402
from firmware.stage.effects import Effects  # noqa: E402
from firmware.stage.feed import Feed  # noqa: E402
from firmware.ui.frame import gestures  # noqa: E402
from sim.hands import Keys, Knob  # noqa: E402


class Source:
    """Hands up a packet in every third step."""

    def __init__(self):
        self.packets = [memoryview(bytearray([n] * 512)) for n in (20, 21, 22)]
        self.n = 0

    def received(self):
        """The next packet, or None."""
        self.n += 1
        return self.packets[self.n // 6 % 3] if self.n % 6 == 1 else None


def steps(now, late, lock):
    """Take 100 steps of 23 ms from `now` on; `late` ms come between two of them -> bytes that their ticks took."""
    s = stage(count=6)
    s.effects = Effects(s)
    for kind in ("Pulse", "Candle"):
        s.effects.start(effect_settings.new(kind, [1, 2, 3]), now)
    feed = Feed(s, Source(), {"on": 1, "lost": 0, "lost_ms": 5000, "back_ms": 200, "rules": {2: 1}}, now)
    knob, keys = Knob(), Keys()
    g = gestures.Gestures(knob, keys, device_settings.defaults())
    took = 0
    s.step(now)
    for n in range(100):
        now += late if n == 50 else 23
        if n % 40 == 0:
            s.go("B" if n % 80 else "A", 0.5)
        s.step(now)
        knob.move(n % 3 - 1)
        keys.set("push", n % 50 > 10)
        if n < 20:  # the first packet begins a fade, which takes a copy
            feed.step(now)
        gc.collect()
        before = gc.mem_alloc()
        if lock:
            micropython.heap_lock()
        s.move()
        s.effects.make(s.patch, s.frame)
        s.make()
        g.poll(now)
        if n >= 20:
            feed.step(now)
        if lock:
            micropython.heap_unlock()
        took += gc.mem_alloc() - before
    return took


for power, late in ((20, 23), (28, 23), (29, 23), (20, 1 << 28), (29, 1 << 28), (30, 23)):
    if power < 30 or sys.argv[2] == "count":
        print(power, steps((1 << power) - 1000, late, sys.argv[2] == "lock"))
