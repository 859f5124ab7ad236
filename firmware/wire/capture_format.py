"""The form of captures: DMX frames with their times as blocks of bytes that stand each for itself. Pure.

encoder.py makes them for stage/capture_recorder.py, decoder.py reads them for stage/capture_file.py; DEVELOPERS.md
describes the form so that another decoder can be written from it. In short: a block is a head, a stream of bits and a
CRC-32. It begins with a whole frame, run-length coded; then come only the slots that do not follow: a slot that moves
evenly is expected to go on, one that rests to rest. Frames that come at the block's even period, and all of whose slots
follow, are only counted. Times are in TICKS a ms.
"""

import struct

from micropython import const

HEAD = "<2sBBHHIIH"
HEAD_SIZE = const(18)
MAGIC = b"\xd5\x12"
VERSION = const(1)
LONGEST = const(4096)  # bytes of a block
TICKS = const(32)  # of time in a ms
CRC = const(4)  # bytes of it
LOT = const(3072)  # code.LOT
DELTA, WHOLE, TIME, END = const(0), const(1), const(2), const(3)  # records


def parse(head, there):
    """(length, frames, ms of the first, ms that it lasts, period) from the bytes of a head; None where it is none.
    there: how many bytes there are."""
    if there < HEAD_SIZE:
        return None
    magic, version, _zero, length, frames, first, whole, period = struct.unpack_from(HEAD, head)
    if magic != MAGIC or version != VERSION or not HEAD_SIZE + CRC < length <= LONGEST or not frames or not period:
        return None
    return length, frames, first, whole, period
