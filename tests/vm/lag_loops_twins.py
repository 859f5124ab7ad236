"""Runs on the VM: the native loop of lags.py against its plain twin, through random fades. Prints "equal N"."""

import random
import sys
from array import array

import twin_numbers

sys.path.insert(0, ".")
from firmware.stage import lag_fields, lag_loops, lag_loops_viper, patch_fields  # noqa: E402

FIXTURES, ROUNDS, STEPS = 12, 150, 40

random.seed(3)
path = sys.argv[1] + "/firmware/stage/lag_loops_viper.py"
others = {"_" + name: lag_fields for name in ("ROW", "SLOWEST", "LIGHT", "GONE", "LATE_LIGHT", "LATE_GONE")}
numbers = twin_numbers.wrong(path, patch_fields, others)
assert numbers == [], numbers
tables = array("H", [i * i * (768 - 2 * i) * 65535 + (1 << 23) >> 24 for i in range(257)])


def level():
    return random.choice((0, 65536, random.randint(0, 65536)))


arrived = 0
for n in range(ROUNDS):
    rows = array("i", bytes(4 * lag_fields.ROW * FIXTURES))
    fades = array("i", bytes(4 * patch_fields.FADE * FIXTURES))
    setups = array("H", bytes(2 * patch_fields.SETUP * FIXTURES))
    for i in range(FIXTURES):
        k, o, h = i * lag_fields.ROW, i * patch_fields.FADE, i * patch_fields.SETUP
        fades[o + patch_fields.LEVEL_FROM], fades[o + patch_fields.LEVEL_TO] = level(), level()
        fades[o + patch_fields.START] = random.randint(0, 400)
        fades[o + patch_fields.LENGTH] = random.choice((0, 1, 700, 3000, 600000))
        setups[h + patch_fields.CURVE] = random.choice((0, 1, 2, 3)) + 4 * random.randint(0, 16383)
        rows[k + lag_fields.SLOWEST] = random.choice((0, 10, 90, 300, 3000))
        rows[k + lag_fields.LIGHT] = rows[k + lag_fields.LATE_LIGHT] = fades[o + patch_fields.LEVEL_FROM] << 4
    rows2, fades2, setups2 = array("i", rows), array("i", fades), array("H", setups)
    now = 400
    for _ in range(STEPS):
        past = random.choice((0, 4, 23, 500, 4095))
        now += past
        moving = sum([fades[o + patch_fields.LENGTH] > 0 for o in range(0, len(fades), patch_fields.FADE)])
        lag_loops.follow(now, past, rows, fades, setups, tables, len(rows))
        lag_loops_viper.follow(now, past, rows2, fades2, setups2, tables, len(rows2))
        assert rows == rows2 and fades == fades2 and setups == setups2, n
        arrived += moving - sum([fades[o + patch_fields.LENGTH] > 0 for o in range(0, len(fades), patch_fields.FADE)])
assert arrived > ROUNDS
print("equal", ROUNDS)
