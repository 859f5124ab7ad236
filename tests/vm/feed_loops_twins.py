"""Runs on the VM: the feed's native loops against their plain twins, on random rigs and frames. Prints "equal N"."""

import random
import sys
from array import array

import twin_numbers

sys.path.insert(0, ".")
from firmware.stage import feed_loops, feed_loops_viper, feed_tables  # noqa: E402

ROUNDS = 200


def rig(slots):
    """Random fixtures side by side: (fixtures, channels, unpatched). slots: of one universe or two."""
    fixtures, channels, unpatched = array("H"), array("H"), bytearray(b"\x01" * slots)
    at = random.randint(0, 20)
    while at < slots - 32 and len(fixtures) < 60 * feed_tables.FIXTURE_ROW:
        count, wide = random.randint(1, 6), random.randint(0, 1)
        first, f = at, len(fixtures) // feed_tables.FIXTURE_ROW
        for _channel in range(count):
            low = at + 2 if wide else 0
            channels.extend(array("H", (f, at, low, random.choice((0, 0, 0, 1, 2)))))
            unpatched[at] = 0
            if wide:
                unpatched[at + 1] = 0
            at += 2 if wide else 1
        dimmer = first + 1 if random.randint(0, 1) else 0
        fixtures.extend(array("H", (first, at - 1, dimmer, first + 2 if wide and dimmer else 0, random.randint(0, 3))))
        at += random.randint(0, 3)
    return fixtures, channels, unpatched


def frame(slots):
    """Random slots, some at the ends."""
    return bytearray([random.choice((0, 255, random.randint(0, 255))) for _ in range(slots)])


random.seed(7)
numbers = twin_numbers.wrong(sys.argv[1] + "/firmware/stage/feed_loops_viper.py", feed_tables)
assert numbers == [], numbers
for n in range(ROUNDS):
    slots = 512 << n % 2
    fixtures, channels, unpatched = rig(slots)
    pocket, feed, count = frame(slots), frame(slots), random.choice((24, 100, 511, 512, slots))
    count_times = len(fixtures) // feed_tables.FIXTURE_ROW * feed_tables.TIMES_ROW
    change_times = array("i", [random.choice((0, 400, random.randint(0, 2000))) for _ in range(count_times)])
    holders = bytearray([random.randint(0, 2) for _ in range(len(fixtures) // feed_tables.FIXTURE_ROW)])
    both = []
    for m in (feed_loops, feed_loops_viper):
        out, mixed = bytearray(slots), bytearray(feed)
        old = bytearray(pocket[:300]) + bytearray(feed[300:])
        times, holds, winners = array("i", change_times), bytearray(holders), bytearray(len(holders))
        m.watch(feed, count, old, fixtures, times, 2, 1000, (0, 200, 512)[n % 3])
        m.decide(pocket, old, count, fixtures, times, holds)
        m.merge(pocket, old, out, channels, holds, winners)
        before, left, handed = bytearray(holders), bytearray(slots), array("i", [0] * len(holders))
        m.hand_over(before, holds, fixtures, pocket, left, handed, 1000)
        m.blend(left, out, fixtures, channels, handed, (1000, 1250, 1499, 1500)[n % 4])
        share = (0, 1, 32768, 65535, 65536)[n % 5]
        m.mix(pocket, mixed, mixed, share, channels, unpatched)
        both.append((old, times, holds, out, winners, mixed, before, left, handed))
    assert both[0] == both[1], n
print("equal", ROUNDS)
