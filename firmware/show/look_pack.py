"""Makes records for the log of looks, in the form that look_record.py describes. Loaded by what writes it."""

import struct
from binascii import crc32

from firmware.show.fixture_light import EXTRAS, LIMITS
from firmware.show.look_head import AT_END, VERSION
from firmware.show.look_record import COLDEST, EQUAL, GREENEST, H_LENGTH, HEAD, HEAD_SIZE, LIGHT, MARK, SPAN


def part_head():
    """What a part begins with."""
    head = struct.pack("<2sH", b"HL", VERSION)
    return head + struct.pack("<I", crc32(head))


def record(kind, number, name, light, fade_ms=0, place=AT_END):
    """The bytes of a record. name: str; light: bytes of `pack`, of an order its numbers."""
    name = name.encode()
    head = bytearray(struct.pack(HEAD, MARK, kind, len(name), crc32(name) & 255, number, place, len(name) + len(light),
                                 fade_ms, 0, 0))
    crc = crc32(light, crc32(name, crc32(memoryview(head)[:14])))
    struct.pack_into("<I", head, 14, crc)
    struct.pack_into("<H", head, 18, crc32(memoryview(head)[:18]) & 65535)
    return b"".join((head, name, light, bytes(-(HEAD_SIZE + len(name) + len(light)) % 4)))


def stored_size(head):
    """Bytes that the record of a head takes."""
    return HEAD_SIZE + head[H_LENGTH] + -head[H_LENGTH] % 4


def pack(lights):
    """The light of a look: bytes of {uid: light}, with raw slots under 0. What is outside of LIMITS is held there."""
    uids = sorted([uid for uid in lights if uid])
    packed = [_light(lights[uid]) for uid in uids]
    out = bytearray(1)
    at = 0
    while at < len(uids):
        end, equal = _group(uids, packed, at)
        out.extend(struct.pack("<HB", uids[at], end - at + (EQUAL if equal else 0)))
        for n in range(at, at + 1 if equal else end):
            out.extend(packed[n])
        out[0] += 1
        at = end
    _add_channels(out, lights, uids)
    _add_runs(out, lights.get(0, ()))
    return out


def _group(uids, packed, at):
    """(end, equal): the fixtures from `at` to `end` can be one group; all with the same light, or each with its own."""
    end = at + 1
    equal = end < len(uids) and uids[end] == uids[at] + 1 and packed[end] == packed[at]
    while end < len(uids) and end - at < EQUAL - 1 and uids[end] == uids[end - 1] + 1:
        if (packed[end] == packed[end - 1]) != equal:
            return (end, equal) if equal else (end - 1, equal)
        end += 1
    return end, equal


# Machine code on the chips.
def _light(light):
    """The 11 bytes of a light, as look_record.light reads them."""
    held = []
    for n in range(EXTRAS):
        low, high = LIMITS[n]
        held.append(max(low, min(high, light[n])))
    level, cct, duv, hue, sat, mix = held
    white = (cct - COLDEST) * SPAN + duv + GREENEST
    colour = hue * SPAN + sat
    return struct.pack(LIGHT, white & 65535, white >> 16 | (mix & 15) << 12, colour & 65535,
                       colour >> 16 | level >> 16 << 13 | (mix >> 4 & 3) << 14, level & 65535, mix >> 6)


def _add_channels(out, lights, uids):
    """Append the raw channels: their names once, then the values."""
    names, values, count = [], bytearray(), 0
    for uid in uids:
        raw = lights[uid][EXTRAS]
        for name in sorted(raw):
            if name not in names:
                names.append(name)
            values.extend(struct.pack("<HHH", uid, names.index(name), raw[name]))
            count += 1
    out.extend(struct.pack("<H", len(names)))
    for name in names:
        name = name.encode()
        out.append(len(name))
        out.extend(name)
    out.extend(struct.pack("<H", count))
    out.extend(values)


def _add_runs(out, runs):
    """Append the raw slots of no fixture."""
    out.extend(struct.pack("<H", len(runs)))
    for run in runs:
        out.extend(struct.pack("<HH", run[0], len(run) - 1))
        out.extend(bytes(run[1:]))
