"""The form of the log of looks, and what reads one look of it. Used by looks.py; what writes it is in look_pack.py,
the numbers that only writing and finding need in look_head.py.

A show's folder looks/ has parts 0.log, 1.log, ... of up to PART_BYTES, whose records follow each other in time. A part
begins with PART_HEAD bytes: "HL", the version of this form, and the CRC-32 of those four. A record is

    HEAD       mark, kind, bytes of the name and a check of it, number, place, bytes of the content, fade (ms, with
               SOFT added where its curve is the S), CRC-32 of all before it and of the content, a check of the head
               alone
    content    of a LOOK its name (UTF-8) and its light, of an ORDER the numbers of all looks in the user's order
    zeros      to a multiple of four bytes

Numbers are little-endian. The last record of a number is the look. One that has no place in the order yet comes to
`place`, or to its end (AT_END). An ORDER deletes the looks that it does not have; its `number` is the highest ever
given.

Light is written so: the count of groups, then groups; names of raw channels; their values; runs of raw slots.

    group      uid of its first fixture, a count (the next uids follow), and a light for each; with EQUAL added to
               the count one light for all
    light      11 bytes, see `light`
    names      (look_raw.py) a count (2 bytes), then the length and the UTF-8 of each
    values     a count (2 bytes), then uid, place among the names, value (2 bytes each)
    runs       a count (2 bytes), then the first slot, how many (2 bytes each), and their values
"""

import struct
from binascii import crc32

from micropython import const

from firmware.parts import once

PART_WORDS = 5120  # places of a part: a look's place is PART_WORDS * the part + its first byte // 4
OLDER = 65535  # the place of a look that still lies in a file of its own (looks_older.py)
MARK = 0xA9
SOFT = 1 << 24
EQUAL = 128
HEAD = "<BBBBHHHIIH"
HEAD_SIZE = 20
_CONTENT_FROM = const(14)  # bytes of the head that the CRC of the content begins with
# The fields of a head that reading one look needs; all are in look_head.py.
H_MARK, H_NAME, H_LENGTH, H_FADE, H_CRC, H_CHECK = 0, 2, 6, 7, 8, 9
LIGHT = "<HHHHHB"
LIGHT_SIZE = 11
SPAN = 10001  # values of Duv, saturation and mix
COLDEST, GREENEST = 1000, 5000  # what is added to CCT and taken from Duv, so that both begin at 0


def fields(head):
    """The fields of a head whose bytes these are, or None: there is no sound one."""
    found = struct.unpack_from(HEAD, head)
    if found[H_MARK] != MARK or found[H_CHECK] != crc32(memoryview(head)[:HEAD_SIZE - 2]) & 65535:
        return None
    return found


def read(disk, path, at):
    """The record at a byte of a part: (fields of its head, content), or None: it is damaged. Errors: OSError: flash
    does not give it, which says nothing about what is there."""
    file = disk.reader(path)
    try:
        file.seek(at)
        head = bytearray(HEAD_SIZE)
        file.readinto(head)
        found = fields(head)
        if found:
            content = bytearray(found[H_LENGTH])
            file.readinto(content)
            if crc32(content, crc32(memoryview(head)[:_CONTENT_FROM])) == found[H_CRC]:
                return found, content
    finally:
        file.close()
    return None


# Machine code on the chips.
def lights(content, at):
    """{uid: light} of a look's content, with raw slots under 0. at: where its light begins."""
    out = {}
    groups = content[at]
    at += 1
    for _ in range(groups):
        uid, count = struct.unpack_from("<HB", content, at)
        at += 3
        for n in range(count & 127):
            out[uid + n] = light(content, at)
            if count < EQUAL or n == count - EQUAL - 1:
                at += LIGHT_SIZE
    if content[at:] != b"\0\0\0\0\0\0":
        once("firmware.show.look_raw", "add", out, content, at)
    return out


# Machine code on the chips.
def light(content, at):
    """The light of a lamp at a byte, without raw channels.

    The words of LIGHT: low 16 bits of (CCT - 1000) * SPAN + Duv + 5000; its high 12, low 4 of mix; low 16 of hue * SPAN
    + saturation; its high 13, the highest of level, the next 2 of mix; low 16 of level; the high 8 of mix.
    """
    white, white_high, colour, colour_high, level, mix = struct.unpack_from(LIGHT, content, at)
    white |= (white_high & 4095) << 16
    colour |= (colour_high & 8191) << 16
    return [level | (colour_high & 8192) << 3, white // SPAN + COLDEST, white % SPAN - GREENEST, colour // SPAN,
            colour % SPAN, white_high >> 12 | colour_high >> 14 << 4 | mix << 6, {}]
