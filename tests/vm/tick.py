"""Time of one stage tick in mid-fade with 40 mixed fixtures, and of a bare loop over 512 slots. Runs on the VM and on
CPython; prints "tick_us bare_us fixtures channels"."""

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

KINDS = ("dim", "dim16", "white", "white16", "tint", "tint16", "full", "full16", "rgb", "rgbw", "rgbww", "rgbw16",
         "raw4")
FIXTURES = 40
FRAME_MS = 23


class NoDisk:
    """Looks need somewhere to be; these live in memory."""

    def __init__(self):
        self.files = {}

    def mkdir(self, _path):
        """Nothing to make."""

    def list(self, _folder=""):
        """Nothing there at the start."""
        return []

    def read(self, path):
        """The bytes, or ENOENT."""
        if path not in self.files:
            raise OSError(2, path)
        return self.files[path]

    def write(self, path, data):
        """Keep the bytes."""
        self.files[path] = bytes(data)

    def rename(self, old, new):
        """Give a file another name."""
        self.files[new] = self.files.pop(old)

    def remove(self, path):
        """Drop a file."""
        if path not in self.files:
            raise OSError(2, path)
        del self.files[path]


def stage(kinds=KINDS, count=FIXTURES):
    """A stage with two looks, "A" and "B", different in everything."""
    from firmware.show.show import Show
    from firmware.stage.stage import Stage

    show = Show(NoDisk(), "s")
    for n in range(count):
        show.rig.add(kinds[n % len(kinds)])
    s = Stage(show)
    for name, light in (("A", {"level": 0.9, "cct": 3000, "duv": 0.004, "hue": 20, "sat": 0.3}),
                        ("B", {"level": 0.2, "cct": 6000, "duv": -0.004, "hue": 200, "sat": 0.9})):
        for k, f in enumerate(show.rig.fixtures):
            shifted = dict(light)
            shifted["hue"] = (light["hue"] + 7 * k) % 360
            s.dial(f, **shifted)
        s.step(0)
        s.store(name)
    return s


def tick_us(s, rounds):
    """Mean time of a step over whole fades of 4 s, the planning of keyframes included; `go` is not counted."""
    total = steps = now = 0
    for n in range(rounds):
        s.go("AB"[n % 2], 4)
        for _ in range(4000 // FRAME_MS):
            now += FRAME_MS
            begin = ticks_us()
            s.step(now)
            total += ticks_diff(ticks_us(), begin)
            steps += 1
        now += 4000
        s.step(now)
    return total / steps


def bare_us(rounds):
    """Mean time of a bare loop that copies 512 slots."""
    def loop(source, to):
        for i in range(512):
            to[i] = source[i]

    source, to = bytearray(512), bytearray(512)
    begin = ticks_us()
    for _ in range(rounds):
        loop(source, to)
    return ticks_diff(ticks_us(), begin) / rounds


def main():
    """Measure and print."""
    s = stage()
    tick_us(s, 1)
    bare = bare_us(500)
    tick = tick_us(s, 6)
    bare = (bare + bare_us(500)) / 2
    print(tick, bare, len(s.show.rig), sum(len(f.personality.channels) for f in s.show.rig.fixtures))


if __name__ == "__main__":
    main()
