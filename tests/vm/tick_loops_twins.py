"""Runs on the VM: the tick's native loops against their plain twins, on random patches. Prints "equal N"."""

import random
import sys
from array import array

import twin_numbers

sys.path.insert(0, ".")
from firmware.stage import patch_fields as fields  # noqa: E402
from firmware.stage import tick_loops, tick_loops_viper

FIXTURES, ROUNDS = 40, 300


def patch():
    """A random patch with moving, standing, keyed and wrapping parts."""
    par = array("i", [FIXTURES, 500, random.randint(0, 65536), random.choice([0, 0, 0, 1, 2])])
    tables = array("H", [i * i * (768 - 2 * i) * 65535 >> 24 for i in range(257)])
    tables.extend(array("H", sorted(random.randint(0, 65535) for _ in range(66))))
    forms = [(len(tables) + fields.FORM * FORMS[n], len(tables) + fields.FORM * FORMS[n + 1])
             for n in range(len(FORMS) - 1)]
    for n in range(len(FORMS) - 1):
        for c in range(FORMS[n + 1] - FORMS[n]):
            tables.extend(array("H", (2 * c, random.choice([0, 2 * c + 2]),
                                      random.choice([0, fields.SCALED, fields.WHITE, fields.WRAPS, fields.SNAPS]))))
    fx, fh = array("i", [0] * (fields.FADE * FIXTURES)), array("H", [0] * (fields.SETUP * FIXTURES))
    first = slot = 0
    for n in range(FIXTURES):
        for field, choices in FIELDS:
            fx[n * fields.FADE + field] = choices()
        h, form = n * fields.SETUP, random.choice(forms)
        for field, choices in HALVES:
            fh[h + field] = choices()
        fh[h + fields.FORM_AT], fh[h + fields.FORM_END] = form
        fh[h + fields.CHANNELS_AT], fh[h + fields.ADDRESS] = first, slot
        count = (form[1] - form[0]) // fields.FORM
        first += fh[h + fields.CHANNEL_WIDTH] * count
        slot += 2 * count
    ch = array("i", [random.randint(-60000, 120000) + fields.BIAS for _ in range(first)])
    for p in range(first):
        if p % 4 in (fields.END, fields.NEXT):
            ch[p] = random.choice([0, random.randint(0, 65535) + fields.BIAS])  # 0: not known
    return par, fx, fh, ch, tables


FORMS = (0, 1, 3, 6, 11)  # where the forms of four personalities begin and end
FIELDS = (
    (fields.LEVEL_FROM, lambda: random.randint(0, 65536)),
    (fields.LEVEL_TO, lambda: random.randint(0, 65536)),
    (fields.START, lambda: random.choice([fields.NEVER, random.randint(0, 600)])),
    (fields.LENGTH, lambda: random.choice([0, 1, 333, 1000, 600000])),
    (fields.DONE, lambda: random.choice([0, 1, 65535, 65536, random.randint(0, 65536)])),
    (fields.PLACE, lambda: random.randint(0, 65536)),
    (fields.WHITE_PLACE, lambda: random.randint(0, 65536)),
)
HALVES = (
    (fields.CURVE, lambda: random.choice([0, 1, fields.SLOWED, 1 + fields.SLOWED + 9 * fields.OWN])),
    (fields.KELVIN_FROM, lambda: random.randint(2000, 32767)),
    (fields.KELVIN_TO, lambda: 32767),
    (fields.SEGMENTS, lambda: random.choice([0, 1, 1, 7, 16])),
    (fields.SEGMENT, lambda: random.randint(0, 15)),
    (fields.EXEMPT, lambda: random.randint(0, 1)),
    (fields.CHANNEL_WIDTH, lambda: 4),
    (fields.CURVE_AT, lambda: random.choice([0, 0, 257])),
    (fields.LIGHT_FROM + 3, lambda: random.choice([0, 5000])),
    (fields.LIGHT_FROM + 4, lambda: random.choice([0, 5000])),
)

random.seed(7)
numbers = twin_numbers.wrong(sys.argv[1] + "/firmware/stage/tick_loops_viper.py", fields)
assert numbers == [], numbers


for n in range(ROUNDS):
    first = patch()
    if n % 2:
        for p in range(len(first[3])):
            first[3][p] = first[3][p] or 4321 + fields.BIAS  # all is known
    second = first[0], array("i", first[1]), array("H", first[2]), array("i", first[3]), first[4]
    (par, fx, fh, ch, tables), (_par, fx2, fh2, ch2, _tables) = first, second
    frame, frame2 = bytearray(512), bytearray(512)
    plain = tick_loops.move(par, fx, fh, ch, tables), tick_loops.compose(par, fx, fh, ch, tables, frame)
    native = (tick_loops_viper.move(par, fx2, fh2, ch2, tables),
              tick_loops_viper.compose(par, fx2, fh2, ch2, tables, frame2))
    assert plain == native, (n, plain, native)
    for i in range(FIXTURES):
        light = [random.randint(0, 65536), random.randint(1000, 20000), random.randint(-5000, 5000),
                 random.randint(0, 35999), random.choice([0, 5000]), random.choice([0, 5000]), {}]
        aimed = i, light, random.choice([0, 500, fields.NEVER]), random.choice([0, 1, 4000]), random.randint(0, 1)
        field = random.choice([fields.END, fields.NEXT])
        steered = i, field, random.randint(0, 131072), random.randint(0, 65536), random.randint(0, 1)
        for p in range(fh[i * fields.SETUP + fields.CHANNELS_AT] + field, len(ch), 4):
            ch[p] = ch2[p] = ch[p] or 1234 + fields.BIAS  # it is known
        if random.randint(0, 1):
            tick_loops.aim(fx, fh, ch, *aimed)
            tick_loops_viper.aim(fx2, fh2, ch2, *aimed)
        tick_loops.steer(fx, fh, ch, tables, *steered)
        tick_loops_viper.steer(fx2, fh2, ch2, tables, *steered)
    assert fx == fx2 and fh == fh2 and ch == ch2, n
    assert frame == frame2, n
print("equal", ROUNDS)
