"""Runs on the VM: the native loops of effects and of the limiter on flashing against their plain twins, on random rows.
Prints "equal N"."""

import random
import sys
from array import array

import twin_numbers

sys.path.insert(0, ".")
from firmware import universe  # noqa: E402
from firmware.stage import effect_loops, effect_loops_viper, flash_loops, flash_loops_viper
from firmware.stage import flash_rows as rows_
from firmware.stage import patch_fields as fields

FIXTURES, ROWS, ROUNDS = 20, 50, 200
random.seed(11)
PATCH = ("FADE", "LEVEL", "OUTPUT", "SETUP", "EXEMPT", "DARK", "MASTER", "MODE", "CURVE_SIZE")
others = {"_" + name: fields for name in PATCH}
others["_SLOTS"] = universe
for file in ("effect_loops_viper", "flash_loops_viper"):
    numbers = twin_numbers.wrong(sys.argv[1] + "/firmware/stage/%s.py" % file, rows_, others)
    assert numbers == [], numbers


def halves(n, low, high):
    """Random numbers."""
    return array("H", [random.randint(low, high) for _ in range(n)])


def slots():
    """HIGH and LOW of some channel."""
    return random.randint(1, 512), random.choice((0, random.randint(1, 512)))


def drawn():
    """(rows, parts, curves, tables)."""
    parts, rows = array("H"), array("H")
    for _ in range(40):
        parts.extend(array("H", slots() + tuple(halves(2, rows_.BIAS - 9000, rows_.BIAS + 9000))))
        parts[-2] = random.randint(rows_.BIAS, rows_.BIAS + 1500)
    for n in range(ROWS):
        first = random.randint(0, 30)
        kind = random.choice((rows_.WHITE, rows_.EMITTERS, rows_.WHEEL))
        last = first + (3 if kind == rows_.WHEEL else random.randint(1, 6))
        dimmer = slots() if random.randint(0, 3) else (0, 0)
        rows.extend(array("H", (n % FIXTURES, random.choice((0, 1, 2, 3, 7, 73)), dimmer[0], dimmer[1],
                                first * rows_.PART, last * rows_.PART, kind, random.randint(0, rows_.IN_ALL), 400)))
    maps = array("H", sorted(halves(66, 0, 65535))), array("H", sorted(halves(66, 20000, 65535)))
    tables = array("H", bytes(14))
    for one in maps:
        tables.extend(one)
    curves = array("H")
    for _ in range(3):
        curves.extend(array("H", sorted(halves(rows_.KNOTS, 0, 5800))))
    return rows, parts, curves, tables


def both(name, *args):
    """Run a loop twice, on copies of its arrays, and compare all -> the plain one's arguments and result."""
    results = []
    of_effects = effect_loops, effect_loops_viper
    for module in of_effects if hasattr(effect_loops, name) else (flash_loops, flash_loops_viper):
        mine = [a[:] if isinstance(a, (array, bytearray)) else a for a in args]
        given = getattr(module, name)(*mine)
        results.append((mine, given))
    assert results[0][0] == results[1][0], name
    assert results[0][1] == results[1][1], (name, results[0][1], results[1][1])
    return results[0]


for _ in range(ROUNDS):
    n = FIXTURES
    fades = array("i", [random.randint(0, 65536) for _ in range(fields.FADE * n)])
    setups = array("H", [random.randint(0, 3) for _ in range(fields.SETUP * n)])
    common = array("i", [n, 0, random.randint(0, 65536), random.choice((0, 0, 1, 2, 3))])
    levels = array("i", [random.randint(0, 65536) for _ in range(n)])
    kept = array("i", [random.randint(0, 131072) for _ in range(n)])
    marks = bytearray([random.choice((0, 0, 1, 2, 3, 4)) for _ in range(n)])
    lamps = array("i", list(range(0, n, 2)))
    runs = random.choice((1, 3, 10))
    values = array("i", [random.randint(0, 65536) for _ in range(runs)])
    both("begin", fades, levels, n)
    both("hold", fades, kept, levels, n)
    both("mix", levels, lamps, values, runs, random.randint(0, 65536), random.randint(0, 1), len(lamps))
    both("put", common, fades, setups, bytearray(marks), levels, n)
    both("away", fades, levels, kept, marks, n)
    both("keep", fades, levels, kept, marks, 3, n)
    rows, parts, curves, tables = drawn()
    frame = bytearray([random.randint(0, 255) for _ in range(512)])
    other = bytearray([random.randint(0, 255) for _ in range(512)])
    empty = array("H", bytes(4 * ROWS))
    want = both("signals", frame, rows, parts, curves, tables, empty, ROWS)[0][5]
    shown = both("signals", other, rows, parts, curves, tables, empty, ROWS)[0][5]
    extremes = array("H", halves(2 * ROWS, rows_.BIAS, rows_.BIAS + 4000))
    extremes = both("shift", extremes, want, shown, ROWS)[0][0]
    swings, ways = halves(2 * (ROWS + rows_.SUMS), 0, 9000), bytearray([random.randint(0, 2) for _ in range(2 * n + 4)])
    totals = bytearray([random.randint(0, 6) for _ in range(2 * n + 4)])
    columns = bytearray([random.randint(0, 3) for _ in range((2 * n + 4) * rows_.COLUMNS)])
    ups = random.randint(0, 3)
    seen = both("add_up", rows, want, halves(2 * rows_.SUMS, 0, 4000), ROWS)[0][2]
    red = random.choice((0, rows_.OFTEN))
    marks = both("judge", rows, want, seen, extremes, ups | red, marks, swings, ways, totals, ROWS, n)[0][5]
    for mask in (0, 1, 3):
        both("settle", rows, want, shown, extremes, ups, random.randint(0, 3), marks, mask, ROWS)
    spans = array("H")
    for f in range(n):
        spans.extend(array("H", (f * 20, f * 20 + random.randint(0, 19))))
    both("choose", frame, other, bytearray(frame), spans, marks, random.randint(0, 7), n)
    free = bytearray([random.randint(0, 1) for _ in range(512)])
    near = bytearray([max(0, v - random.randint(0, 9)) for v in frame])
    both("judge_slots", frame, random.choice((near, other)), free, curves, random.randint(0, 1))
    both("choose_slots", frame, bytearray(other), near, free, random.randint(0, 1), random.randint(0, 1))
    both("count", rows, want, seen, swings, ways, totals, columns, (2 * n + 4) * 2, ROWS, n)
    both("advance", bytearray([200] * len(totals)), columns, 0, len(totals))
print("equal", ROUNDS)
