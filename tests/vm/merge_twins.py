"""Runs on the VM: the feed's native loops against their plain twins, on random rigs and frames. Prints "equal N"."""

import random
import sys
from array import array

sys.path.insert(0, ".")
from firmware.stage import feed_loops, feed_loops_viper, feed_tables  # noqa: E402

ROUNDS = 200


def constants():
    """The numbers that merge_viper.py has to repeat are those of holds.py."""
    wrong = []
    with open(sys.argv[1] + "/firmware/stage/feed_loops_viper.py") as file:
        lines = file.read().split("\n")
    for line in lines:
        if line.startswith("_") and "= const(" in line:
            name, value = line.split(" = const(")
            value = eval(value[:-1])
            if getattr(feed_tables, name[1:]) != value:
                wrong.append(name)
    return wrong


def rig():
    """Random lamps side by side: (lamps, ways, free)."""
    lamps, ways, free = array("H"), array("H"), bytearray(b"\x01" * 512)
    at = random.randint(0, 20)
    while at < 480 and len(lamps) < 60 * feed_tables.LAMP:
        channels, wide = random.randint(1, 6), random.randint(0, 1)
        first, f = at, len(lamps) // feed_tables.LAMP
        for _channel in range(channels):
            low = at + 2 if wide else 0
            ways.extend(array("H", (f, at, low, random.choice((0, 0, 0, 1, 2)))))
            free[at] = 0
            if wide:
                free[at + 1] = 0
            at += 2 if wide else 1
        dimmer = first + 1 if random.randint(0, 1) else 0
        lamps.extend(array("H", (first, at - 1, dimmer, first + 2 if wide and dimmer else 0, random.randint(0, 3))))
        at += random.randint(0, 3)
    return lamps, ways, free


def frame():
    """Random slots, some at the ends."""
    return bytearray([random.choice((0, 255, random.randint(0, 255))) for _ in range(512)])


random.seed(7)
assert constants() == [], constants()
for n in range(ROUNDS):
    lamps, ways, free = rig()
    own, feed, count = frame(), frame(), random.choice((24, 100, 511, 512))
    count_moves = len(lamps) // 5 * feed_tables.MOVE
    moves = array("i", [random.choice((0, 400, random.randint(0, 2000))) for _ in range(count_moves)])
    holders = bytearray([random.randint(0, 2) for _ in range(len(lamps) // 5)])
    both = []
    for m in (feed_loops, feed_loops_viper):
        out, mixed = bytearray(512), bytearray(feed)
        old = bytearray(own[:300]) + bytearray(feed[300:])
        move, held, shown = array("i", moves), bytearray(holders), bytearray(len(holders))
        m.watch(feed, count, old, lamps, move, 2, 1000)
        m.decide(own, old, count, lamps, move, held)
        m.merge(own, old, out, ways, held, shown)
        share = (0, 1, 32768, 65535, 65536)[n % 5]
        m.mix(own, mixed, mixed, share, ways, free)
        both.append((old, move, held, out, shown, mixed))
    assert both[0] == both[1], n
print("equal", ROUNDS)
