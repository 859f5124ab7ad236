"""Runs on the VM: the capture's native loops against their plain twins, both ways, on random frames: "equal N"."""

import random
import sys
from array import array

sys.path.insert(0, ".")
from firmware.wire import (  # noqa: E402
    capture_code,
    capture_code_read,
    capture_code_read_viper,
    capture_code_viper,
    capture_format,
)

ROUNDS, FRAMES = 12, 40
TWINS = ((capture_code, capture_code_read), (capture_code_viper, capture_code_read_viper))


def move(frame, count):
    """The next frame of a random scene: ramps, jumps, noise, nothing."""
    out = bytearray(frame)
    for i in range(count):
        kind = RAMPS[i]
        if kind < 4:
            out[i] = frame[i] + kind * 7 - 9 & 255
        elif kind < 6 and random.randint(0, 5) == 0:
            out[i] = frame[i] + (1 if kind == 4 else -1) & 255
        elif kind == 6 and random.randint(0, 9) == 0:
            out[i] = random.choice((0, 255, random.randint(0, 255)))
        elif kind == 7 and NOISY:
            out[i] = random.randint(0, 255)
    return out


def same(one, other, what):
    assert one == other, (what, n, frame_no)


random.seed(11)
for n in range(ROUNDS):
    count = random.choice((1, 24, 100, 511, 512))
    NOISY = n % 3 == 0
    RAMPS = [random.randint(0, 12) for _ in range(512)]
    frame = bytearray([random.choice((0, 0, 255, random.randint(0, 255))) for _ in range(512)])
    states = [bytearray(capture_format.STATES_SIZE) for _ in range(4)]
    outs = [bytearray(700) for _ in range(2)]
    frame_no = -1
    places = [m.write_runs(frame, count, out, 3) for m, out in zip((capture_code, capture_code_viper), outs)]
    same(places[0], places[1], "write_runs")
    same(outs[0], outs[1], "write_runs")
    for k, state in enumerate(states):
        m, reading = TWINS[k % 2]
        assert reading.read_runs(outs[0], 3, places[0], state, count) == places[0]
        assert reading.read_runs(outs[0], 3, places[0] - 1, bytearray(capture_format.STATES_SIZE), count) == -1
        m.reset(state, state, count)
        assert state[:count] == frame[:count]
    for frame_no in range(FRAMES):
        frame = move(frame, count)
        found = capture_code.compare(frame, count, states[0])
        same(found, capture_code_viper.compare(frame, count, states[1]), "compare")
        many, k = found >> 10, random.randint(0, 7)
        if not many:
            for m, state in zip((capture_code, capture_code_viper, capture_code, capture_code_viper), states):
                m.advance(state, count)
        else:
            bits = [array("i", (5, 1, 2)) for _ in range(2)]
            limit = 690 if n % 4 else 60
            fits = capture_code.write_delta(frame, count, states[0], outs[0], bits[0], k, limit)
            same(fits, capture_code_viper.write_delta(frame, count, states[1], outs[1], bits[1], k, limit), "delta")
            if not fits:
                break
            same(bits[0], bits[1], "bits")
            end = bits[0][0] + 1
            for b, out in zip(bits, outs):
                out[b[0]] = b[1] << 8 - b[2]
            same(outs[0][5:end], outs[1][5:end], "out")
            for m, state in ((capture_code_read, states[2]), (capture_code_read_viper, states[3])):
                reader = array("i", (5 * 8 + 2,))
                assert m.read_delta(outs[0], end, reader, state, count, many, k) == 1, frame_no
                assert reader[0] == bits[0][0] * 8 + bits[0][2], frame_no
                short = array("i", (5 * 8 + 2,))
                assert m.read_delta(outs[0], 5, short, bytearray(state), count, many, k) == 0
        for k in range(1, 4):
            same(states[0], states[k], "state %d" % k)
        assert states[0][:count] == frame[:count]
print("equal", ROUNDS)
