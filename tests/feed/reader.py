"""A reader of captures written from firmware/wire/CAPTURES.md alone: no code of the firmware. For tests."""

import struct
import zlib


def blocks(data):
    """The sound blocks of a file: (frames, first ms, ms it lasts, period, bits)."""
    at = 0
    while (at := data.find(b"\xd5\x12\x01", at)) >= 0:
        length = int.from_bytes(data[at + 4 : at + 6], "little")
        block = data[at : at + length]
        crc = int.from_bytes(block[-4:], "little")
        if 22 < length <= 4096 and len(block) == length and zlib.crc32(block[:-4]) == crc:
            frames, first, lasts, period = struct.unpack_from("<HIIH", block, 6)
            yield frames, first, lasts, period, "".join(f"{byte:08b}" for byte in block[18:-4])
            at += length
        else:
            at += 1


def frames(data):
    """[(ms, slots)] of a file."""
    out = []
    for many, first, _lasts, period, bits in blocks(data):
        out += Block(bits, first, period).read(many)
    return out


class Slot:
    def __init__(self, value):
        self.v, self.d, self.s, self.f, self.a = value, 1, 0, 0, 0

    def predicted(self):
        return ((self.v << 8 | self.f) + self.s) % 65536

    def as_predicted(self):
        if self.s:
            self.v, self.f = divmod(self.predicted(), 256)
            self.a = min(self.a + 1, 5)
        else:
            self.a = 0

    def step_when_still(self, value):
        step = (value - self.v) % 256
        if self.a == 1 and (step - self.d) % 256 in (0, 1, 255):
            self.s, self.f, self.a = 256 * (step - 256 if step > 127 else step), 128, 0
        else:
            self.a = 1
        self.v, self.d = value, step

    def step_when_moving(self, value, by):
        """It has another value than predicted; by: +1 or -1 for one beside the prediction, 0 for all others."""
        step = (value - self.v) % 256
        if by:
            self.a = min(self.a + 1, 5)
            self.s += by * (256 >> self.a)
            self.f = 0 if by > 0 else 255
        if not by or -200 < self.s < 200:
            self.s, self.f, self.a = 0, 0, 1 if step else 0
        if step:
            self.d = step
        self.v = value


class Block:
    def __init__(self, bits, first, period):
        self.bits, self.at, self.first, self.period = bits, 0, first, period
        self.slots = []

    def take(self, n):
        word = self.bits[self.at : self.at + n]
        self.at += n
        return int(word, 2) if n else 0

    def gamma(self):
        zeros = self.bits.index("1", self.at) - self.at
        self.at += zeros
        return self.take(zeros + 1) - 1

    def read(self, many):
        out, due = [], 0
        while True:
            for _ in range(self.gamma()):
                for slot in self.slots:
                    slot.as_predicted()
                out.append((self.first + due / 32, self.picture()))
                due += self.period
            kind = self.take(2)
            if kind == 3:
                assert len(out) == many
                return out
            if kind == 2:
                due = due - self.period + self.gamma()
                self.period = self.take(16)
                continue
            (self.whole if kind else self.some)()
            out.append((self.first + due / 32, self.picture()))
            due += self.period

    def picture(self):
        return bytes(slot.v for slot in self.slots)

    def whole(self):
        count, values = self.take(9) + 1, []
        self.at = -(-self.at // 8) * 8
        while len(values) < count:
            c = self.take(8)
            values += [self.take(8)] * (c - 125) if c >= 128 else [self.take(8) for _ in range(c + 1)]
        self.slots = [Slot(value) for value in values]

    def some(self):
        left, k = self.gamma() + 1, self.take(3)
        place = -1
        while left:
            gap = 0
            while not self.take(1):
                gap += 1
            gap = gap << k | self.take(k)
            for slot in self.slots[place + 1 : place + 1 + gap]:
                slot.as_predicted()
            place += 1 + gap
            self.code(self.slots[place])
            left -= 1
        for slot in self.slots[place + 1 :]:
            slot.as_predicted()

    def code(self, slot):
        if slot.s:
            e = slot.predicted() >> 8
            if self.take(1):
                slot.step_when_moving(self.take(8) if self.take(1) else slot.v, 0)
            else:
                by = -1 if self.take(1) else 1
                slot.step_when_moving((e + by) % 256, by)
        elif not self.take(1):
            slot.step_when_still((slot.v + slot.d) % 256)
        elif not self.take(1):
            slot.step_when_still((slot.v - slot.d) % 256)
        elif self.take(1):
            slot.step_when_still(self.take(8))
        else:
            slot.step_when_still((slot.v + slot.d + (-1 if self.take(1) else 1)) % 256)
