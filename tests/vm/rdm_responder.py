"""Runs on the unix VM: the responder answers while nothing can be put on the heap, as in an interrupt; and the loops in
machine code do what their plain twins do. Prints "answered N silent M", "equal"."""

import random
import sys

sys.path.insert(0, ".")
import micropython  # noqa: E402

from firmware.wire import rdm, rdm_loops, rdm_loops_viper, rdm_responder  # noqa: E402

UID = 0x7FF05A123456
assert rdm_responder.copy is rdm_loops_viper.copy
random.seed(4)
responder = rdm_responder.Responder(UID.to_bytes(6, "big"), "0.1.0", b"Stage left")
answered = silent = 0


def ask(packet):
    global answered, silent
    micropython.heap_lock()
    count = responder.answer(packet, len(packet))
    micropython.heap_unlock()
    if count:
        answered += 1
    else:
        silent += 1


for packet in (rdm.branch(0, rdm.LAST_UID, 1), rdm.branch(0, 5, 2), b"", bytes(257), b"\xcc" * 60):
    ask(packet)
for to in (UID, rdm.ALL, 5):
    for kind in (0x10, 0x11, 0x20, 0x30):
        for pid in (2, 3, 0x50, 0x60, 0x80, 0x81, 0x82, 0xC0, 0xF0, 0x1000, 0x1234):
            for data in (b"", b"\0", b"Wing", b"x" * 33):
                ask(rdm.request(to, 9, kind, pid, data))
print("answered", answered, "silent", silent)


def noise(size):
    return bytearray([random.choice((0, 1, 2, 254, 255, random.getrandbits(8))) for _ in range(size)])


for _ in range(400):
    one, other = noise(64), noise(64)
    at, count = random.randint(0, 30), random.randint(0, 30)
    other[at : at + 12] = one[:12]
    assert rdm_loops.checksum(one, count) == rdm_loops_viper.checksum(one, count)
    assert rdm_loops.difference(one, other, at, count) == rdm_loops_viper.difference(one, other, at, count)
    to, same = bytearray(64), bytearray(64)
    rdm_loops.copy(to, at, one, at // 2, count)
    rdm_loops_viper.copy(same, at, one, at // 2, count)
    assert to == same
print("equal")
