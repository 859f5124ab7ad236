"""The form of the stage's state on flash: what state_write.py writes and state_read.py reads.

What is kept: the light of every fixture and where it is in its fade, master, blackout, held fades, the look that is on.
Four small files in state/, written in turn so that a torn or damaged one leaves the one before it:

    base0, base1   all fixtures
    step0, step1   the fixtures that changed since the base, while they fit in what littlefs keeps inside its folder
                   entry (a write there needs no block of its own: about one erase in 16 writes)

A record is a head (HEAD, its fields below), the fixtures, in a base the raw slots of nobody, and the CRC-32 of all
before it. Numbers are little-endian. A fixture is FIXTURE: its uid, and 1 where it is in a fade; then its light; in a
fade first the light that it comes from, then the one it goes to, then FADE: ms done, length in ms, curve.
"""

import struct

from firmware.show import fixture_light

FOLDER = "state"
MARK = b"HS"
VERSION = 1
HEAD = "<2sBBIIIIIHH"
# The fields of a head. SHOW: CRC-32 of the show's folder; BASE: CRC-32 of the base that a step belongs to, of a base 0;
# NUMBER counts up; TIME: of the stage, ms.
H_MARK, H_VERSION, H_FLAGS, H_SHOW, H_BASE, H_NUMBER, H_TIME, H_MASTER, H_LOOK, H_COUNT = range(10)
BLACK, HELD = 1, 2  # flags
FIXTURE = "<HB"
FADE = "<iIB"


def pack_light(out, light, names):
    """Append a light to a bytearray. names: the raw channels of its fixture's personality."""
    out.extend(fixture_light.pack_six(light))
    pairs = fixture_light.to_pairs(light, names)
    out.extend(struct.pack("<H", len(pairs)))
    for pair in pairs:
        out.extend(struct.pack("<HH", *pair))


def unpack_light(data, at):
    """(light, byte after it) of the light that begins at a byte; its EXTRAS are pairs of place and value."""
    light = fixture_light.unpack_six(data, at)
    at += fixture_light.SIX_SIZE
    (count,) = struct.unpack_from("<H", data, at)
    light[fixture_light.EXTRAS] = [struct.unpack_from("<HH", data, at + 2 + 4 * n) for n in range(count)]
    return light, at + 2 + 4 * count


def crc_of(record):
    """The CRC-32 at the end of a record."""
    return struct.unpack_from("<I", record, len(record) - 4)[0]
