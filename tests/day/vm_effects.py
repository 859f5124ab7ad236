"""Runs on the VMs: every effect in the tick with the heap locked, and what it costs. Prints "NAME us" lines, "lock ok".

us: of one tick's `make` with the effect on six lamps: the mean over some virtual seconds of ticks 23 ms apart, each
the least of some runs that are alike; all parameters at their most, so that the rare branches come too.
"loop": one turn of a plain loop, to compare with.
"""

import sys

sys.path.insert(0, ".")
try:
    from time import ticks_diff, ticks_us
except ImportError:  # CPython
    from time import perf_counter_ns

    def ticks_us():
        """Microseconds of some clock."""
        return perf_counter_ns() / 1000

    def ticks_diff(a, b):
        """a - b."""
        return a - b
try:
    from micropython import heap_lock, heap_unlock
except ImportError:
    import sim  # noqa: F401

    def heap_lock():
        """There is none here."""

    heap_unlock = heap_lock

from firmware.light.effects.table import NAMES  # noqa: E402
from firmware.show import effect_settings  # noqa: E402
from firmware.show.effect_fields import PARAMS  # noqa: E402
from firmware.show.show import Show  # noqa: E402
from firmware.stage.effects import Effects  # noqa: E402
from firmware.stage.stage import Stage  # noqa: E402

LAMPS = 6
TICK_MS = 23
ROUNDS, TICKS = (5, 300) if sys.maxsize > 1 << 32 else (1, 60)  # the 32-bit VM has no machine code


class NoDisk:
    """Nothing is saved here."""

    def mkdir(self, _path):
        """Nothing to make."""

    def list(self, _folder=""):
        """Nothing there."""
        return []

    def read(self, path):
        """Nothing there."""
        raise OSError(2, path)


def stage():
    """Six lamps at half, with white and colour."""
    show = Show(NoDisk(), "shows/a")
    for n in range(LAMPS):
        show.rig.add("full16", "Lamp %d" % n)
    s = Stage(show)
    for f in show.rig.fixtures:
        s.dial(f, level=0.5, cct=4300)
    s.step(0)
    s.effects = Effects(s)
    return s


def tick(s, now):
    """One tick as Stage.step, with the parts that must not allocate under the lock -> µs of them."""
    s.move()
    s.effects.follow(now)
    heap_lock()
    begin = ticks_us()
    s.effects.make(s.patch, s.frame)
    took = ticks_diff(ticks_us(), begin)
    heap_unlock()
    s.effects.tidy(now)
    return took


def turns(n):
    """A plain loop."""
    s = 0
    for i in range(n):
        s += i
    return s


def once(name, least):
    """One run of an effect, or of all at once; least: µs of each tick, the least of all runs."""
    s = stage()
    uids = [f.uid for f in s.show.rig.fixtures]
    for kind in NAMES if name == "all" else (name,):
        effect = effect_settings.new(kind, uids)
        effect[PARAMS] = [spec[3] for spec in effect_settings.kind(kind)[2]]
        s.effects.start(effect, 0)
    for n in range(TICKS):
        least[n] = min(least[n], tick(s, (n + 1) * TICK_MS))


def main():
    """Every effect by itself, then all at once."""
    for name in NAMES + ("all",):
        least = [1000000] * TICKS
        for _ in range(ROUNDS):
            once(name, least)
        print(name.replace(" ", "_"), sum(least) / TICKS)
    loop = 1000000
    for _ in range(20):
        begin = ticks_us()
        turns(10000)
        loop = min(loop, ticks_diff(ticks_us(), begin))
    print("loop", loop / 10000)
    print("lock ok")


if __name__ == "__main__":
    main()
