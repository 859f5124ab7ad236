"""The form of the stage's state on flash: what state_write.py writes and state_read.py reads.

What is kept: the light of every fixture (and where it is in its fade), master, blackout, held fades, the look that is
on. Four small files in state/, written in turn so that a torn or damaged one leaves the one before it:

    base0, base1   all fixtures
    step0, step1   the fixtures that changed since the base, while they fit in what littlefs keeps inside its folder
                   entry (a write there needs no block of its own: about one erase in 16 writes)

A record is a head (HEAD, its fields below), the fixtures, in a base the raw slots of nobody, and the CRC-32 of all
before it. Numbers are little-endian.
"""

import struct

FOLDER = "state"
MARK = b"HS"
VERSION = 1
HEAD = "<2sBBIIIIIHH"
# The fields of a head. SHOW: CRC-32 of the show's folder; BASE: CRC-32 of the base that a step belongs to, of a base 0.
H_MARK, H_VERSION, H_FLAGS, H_SHOW, H_BASE, H_NUMBER, H_TIME, H_MASTER, H_LOOK, H_COUNT = range(10)
BLACK, HELD = 1, 2  # flags
LIGHT = "<IHhHHH"  # personality.PARAMS in its SCALE


def crc_of(record):
    """The CRC-32 at the end of a record."""
    return struct.unpack_from("<I", record, len(record) - 4)[0]
