"""The form of the stage's state on flash: what state_record.py writes and state_read.py reads.

What is kept: the light of every fixture and where it is in its fade, master, blackout, held fades, the look that is on.
Four small files in state/, written in turn so that a torn or damaged one leaves the one before it:

    base0, base1   all fixtures
    step0, step1   the fixtures that changed since the base, while they fit in what littlefs keeps inside its folder
                   entry (a write there needs no block of its own: about one erase in 16 writes)

A record is a head (HEAD, its fields below), the fixtures, in a base the raw slots of nobody, the frame, and the tail
(TAIL), whose end is the CRC-32 of all before it. Numbers are little-endian. A fixture is FIXTURE: its uid, and 1 where
it is in a fade; then its light; in a fade first the light that it comes from, then the one it goes to, then FADE: ms
done, length in ms, curve.

The frame is what the line shows of this state, every fade at its end, without effects and feed: first_light.py sends it
before the app is there. In a base it is the slots up to the last that is not 0, in a step runs of those that are others
in its base: index of the first, count, values (RUN). It counts only for the rig whose file has the CRC that the tail
names.
"""

import struct
from binascii import crc32

FOLDER = "state"
MARK = b"HS"
VERSION = 2
HEAD = "<2sBBIIIIIHH"
# The fields of a head. SHOW: CRC-32 of the show's folder; BASE: CRC-32 of the base that a step belongs to, of a base 0;
# NUMBER counts up; TIME: of the stage, ms.
H_MARK, H_VERSION, H_FLAGS, H_SHOW, H_BASE, H_NUMBER, H_TIME, H_MASTER, H_LOOK, H_COUNT = range(10)
BLACK, HELD, EDITED = 1, 2, 4  # flags
HEAD_SIZE = struct.calcsize(HEAD)
FIXTURE = "<HB"
FADE = "<iIB"
RUN = "<HB"
TAIL = "<IHI"  # CRC of the rig's file, 0: there is no frame; the byte at which the frame begins; CRC of the record
TAIL_SIZE = struct.calcsize(TAIL)


def crc_of(record):
    """The CRC-32 at the end of a record."""
    return struct.unpack_from("<I", record, len(record) - 4)[0]


def is_sound(data):
    """True for the bytes of a whole record of a version that can be read."""
    if len(data) < HEAD_SIZE + 4 or data[:2] != MARK or not 1 <= data[2] <= VERSION:
        return False
    return crc_of(data) == crc32(memoryview(data)[:-4])


def frame_at(record):
    """The byte at which the frame of a sound record begins, and that ends what comes before it."""
    if record[2] < 2:  # the first version had no frame
        return len(record) - 4
    return struct.unpack_from(TAIL, record, len(record) - TAIL_SIZE)[1]


def rig_of(record):
    """The CRC of the rig's file that the frame of a record is for; 0 where it has no frame."""
    return 0 if record[2] < 2 else struct.unpack_from(TAIL, record, len(record) - TAIL_SIZE)[0]


def rig_crc(disk, folder):
    """The CRC of a show's rig as its file names it, 0 where there is none. folder: the show's."""
    head = bytearray(16)  # {"crc":"1a2b3c4d (show/file_format.py)
    try:
        return int(bytes(head[8:]), 16) if disk.read_part(folder + "/rig.json", 0, head) == 16 else 0
    except (OSError, ValueError):
        return 0


def newest(data, show_crc, base_crc):
    """The newest sound record of a show and of a base among some: bytes, None where there is none. data: list of bytes
    or None."""
    best, most = None, -1
    for record in data:
        if record and is_sound(record):
            head = struct.unpack_from(HEAD, record)
            if head[H_SHOW] == show_crc and head[H_BASE] == base_crc and head[H_NUMBER] > most:
                best, most = record, head[H_NUMBER]
    return best
