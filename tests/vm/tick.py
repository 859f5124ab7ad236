"""Time of one stage tick in mid-fade with 40 mixed fixtures, or with 64 on each of two universes (argument "two"), and
of a bare loop over 512 slots. Runs on the VM and on CPython; prints "tick_us bare_us fixtures channels"."""

import io
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

    def append(self, path, data):
        """Add bytes."""
        self.files[path] = self.files.get(path, b"") + bytes(data)

    def length(self, path):
        """How many bytes."""
        return len(self.files[path])

    def read_part(self, path, at, buffer):
        """Some of the bytes."""
        return self.reader(path, at).readinto(buffer)

    def reader(self, path, at=0):
        """The bytes as a file."""
        return io.BytesIO(self.files[path][at:])

    def free(self):
        """Room enough."""
        return 1 << 20, 1 << 20

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
    from firmware.show import rig_edit
    from firmware.show.show import Show
    from firmware.stage.stage import Stage

    show = Show(NoDisk(), "s")
    show.rig.universes = 1 if count <= 64 else 2
    for n in range(count):
        kind = show.rig.personality(kinds[n % len(kinds)])
        show.rig.add(kind, None, rig_edit.first_free(show.rig, kind.slots, 1 if n < 64 else 513))
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
    """Mean time of a step over a whole fade of 4 s, the planning of keyframes included; `go` is not counted. The same
    fade several times, the least of each step: other work on the machine only adds."""
    steps = 4000 // FRAME_MS
    least = [1e9] * steps
    now = 0
    for _ in range(rounds):
        s.go("A", 0)
        while s.left():
            now += FRAME_MS
            s.step(now)
        s.go("B", 4)
        for k in range(steps):
            now += FRAME_MS
            begin = ticks_us()
            s.step(now)
            least[k] = min(least[k], ticks_diff(ticks_us(), begin))
    return sum(least) / steps


def bare_us(rounds):
    """Time of a bare loop that copies 512 slots: the least of some batches of 20."""
    def loop(source, to):
        for i in range(512):
            to[i] = source[i]

    source, to = bytearray(512), bytearray(512)
    least = None
    for _ in range(rounds):
        begin = ticks_us()
        for _ in range(20):
            loop(source, to)
        took = ticks_diff(ticks_us(), begin) / 20
        least = took if least is None else min(least, took)
    return least


def main(count=FIXTURES):
    """Measure and print."""
    s = stage(count=count)
    bare = bare_us(25)
    tick = tick_us(s, 10)
    bare = min(bare, bare_us(25))
    print(tick, bare, len(s.show.rig), sum(len(f.personality.channels) for f in s.show.rig.fixtures))


if __name__ == "__main__":
    main(128 if "two" in sys.argv else FIXTURES)
