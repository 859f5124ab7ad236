"""Runs on the VM: the tick's native loops against their plain twins, on random patches. Prints "equal N"."""

import random
import sys
from array import array

sys.path.insert(0, ".")
from firmware.stage import blend, blend_viper, fields  # noqa: E402

FIXTURES, CHANNELS, ROUNDS = 40, 200, 300


def constants():
    """The numbers that blend_viper.py has to repeat are those of fields.py."""
    wrong = []
    with open(sys.argv[1] + "/firmware/stage/blend_viper.py") as file:
        lines = file.read().split("\n")
    for line in lines:
        if line.startswith("_") and "= const(" in line:
            name, value = line.split(" = const(")
            if getattr(fields, name[1:]) != eval(value.strip()[:-1]):
                wrong.append(name)
    return wrong


def patch():
    """A random patch with moving, standing, keyed and wrapping parts."""
    par = array("i", [FIXTURES, CHANNELS, 500, random.randint(0, 65536), random.choice([0, 0, 0, 1, 2]), 0])
    tables = array("H", [i * i * (768 - 2 * i) * 65535 >> 24 for i in range(257)])
    tables.extend(array("H", sorted(random.randint(0, 65535) for _ in range(66))))
    fx = array("i", [0] * (fields.STRIDE * FIXTURES))
    ch = array("i", [0] * (fields.WIDTH * CHANNELS))
    for o in range(0, len(fx), fields.STRIDE):
        for field, choices in FIELDS:
            fx[o + field] = choices()
    for c in range(CHANNELS):
        p = c * fields.WIDTH
        ch[p + fields.A] = random.randint(-60000, 120000) + fields.BIAS
        ch[p + fields.B] = random.randint(-60000, 120000) + fields.BIAS
        ch[p + fields.COARSE], ch[p + fields.FINE] = 2 * c, random.choice([0, 2 * c + 2])
        ch[p + fields.OWNER] = random.randint(0, FIXTURES - 1) * fields.STRIDE
        ch[p + fields.FLAGS] = random.choice([0, fields.SCALED, fields.WHITE, fields.AROUND])
        ch[p + fields.TABLE] = random.choice([0, 0, 257])
    return par, fx, ch, tables


FIELDS = (
    (fields.LEVEL_A, lambda: random.randint(0, 65536)),
    (fields.LEVEL_B, lambda: random.randint(0, 65536)),
    (fields.START, lambda: random.randint(0, 600)),
    (fields.LENGTH, lambda: random.choice([0, 1, 333, 1000, 600000])),
    (fields.U, lambda: random.choice([0, 1, 65535, 65536, random.randint(0, 65536)])),
    (fields.CURVE, lambda: random.randint(0, 1)),
    (fields.KELVIN_A, lambda: random.randint(2000, 32767)),
    (fields.KELVIN_B, lambda: 32767),
    (fields.SEGMENTS, lambda: random.choice([1, 1, 7, 16])),
    (fields.SEGMENT, lambda: random.randint(0, 15)),
    (fields.FREE, lambda: random.randint(0, 1)),
)

random.seed(7)
assert constants() == [], constants()
for n in range(ROUNDS):
    par, fx, ch, tables = patch()
    fx2, frame, frame2 = array("i", fx), bytearray(512), bytearray(512)
    plain = blend.move(par, fx, tables), blend.compose(par, fx, ch, tables, frame)
    native = blend_viper.move(par, fx2, tables), blend_viper.compose(par, fx2, ch, tables, frame2)
    assert plain == native, (n, plain, native)
    assert fx == fx2, n
    assert frame == frame2, n
print("equal", ROUNDS)
