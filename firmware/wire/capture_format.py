"""The format of captures: DMX frames with their times, as blocks of bytes of which each can be read alone. Pure.

CAPTURES.md beside this file is the whole description; another reader can be written from it. capture_encoder.py makes
the blocks for stage/capture_recorder.py, capture_decoder.py reads them for stage/capture_file.py.
"""

import struct

from micropython import const

from firmware.universe import SLOTS

HEAD = "<2sBBHHIIH"
HEAD_SIZE = const(18)  # bytes
MAGIC = b"\xd5\x12"
VERSION = const(1)
LONGEST = const(4096)  # bytes of a block
TICKS = const(32)  # of time in a ms
CRC = const(4)  # bytes of it
STATES_SIZE = 6 * SLOTS  # bytes of the states of all slots: capture_code.py
DELTA, WHOLE, TIME, END = const(0), const(1), const(2), const(3)  # kinds of record
LENGTH, FIRST_MS = const(0), const(2)  # places in what parse gives


def parse(head, size):
    """The head of a block: (length in bytes, number of frames, ms of the first frame since the capture began, ms that
    the block lasts, period in ticks); None where these bytes begin no block.

    head: bytes-like; size: how many of its bytes are valid.
    """
    if size < HEAD_SIZE:
        return None
    magic, version, _zero, length, frames, first_ms, lasts_ms, period = struct.unpack_from(HEAD, head)
    if magic != MAGIC or version != VERSION or not HEAD_SIZE + CRC < length <= LONGEST or not frames or not period:
        return None
    return length, frames, first_ms, lasts_ms, period
