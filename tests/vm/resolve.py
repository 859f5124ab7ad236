"""Runs on the VM: µs to resolve one light into the channels of each kind of lamp. Prints "kind µs" lines."""

import sys

sys.path.insert(0, ".")
sys.path.insert(0, sys.argv[1])
from time import ticks_diff, ticks_us  # noqa: E402

from firmware.stage import fade, patch_build  # noqa: E402
from tests.vm.tick import stage  # noqa: E402

KINDS = ("dim", "dim16", "white", "white16", "tint", "tint16", "full", "full16", "rgb", "rgbw", "rgbww", "raw8")
ROUNDS, EACH = 40, 25

for kind in KINDS:
    s = stage((kind,), 1)
    f = s.show.rig.fixtures[0]
    p = patch_build.build(s.show.rig)
    to = [40000, 4300, 300, 12000, 5000, 10000, {}]
    least = 1e9
    for _ in range(ROUNDS):
        begin = ticks_us()
        for _ in range(EACH):
            fade.begin(p, 0, f, to, to, 0, 0, 0)
        least = min(least, ticks_diff(ticks_us(), begin) / EACH)
    print(kind, least)
