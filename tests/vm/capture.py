"""Runs on the VM: encodes a file of frames as the recorder does, decodes the blocks again, and holds them equal.
Argument: a file of packets: ms (4 bytes, little-endian), count of slots (2), the slots. Prints
"bytes N frames N encode_us MEAN decode_us MEAN"."""

import struct
import sys
from time import ticks_diff, ticks_us

sys.path.insert(0, ".")
from firmware.stage.capture_recorder import CaptureRecorder  # noqa: E402
from firmware.wire.capture_decoder import Decoder  # noqa: E402


class Disk:
    """Keeps the blocks in a list."""

    def __init__(self):
        self.blocks = []

    def free(self):
        return 1 << 28, 1 << 28

    def write(self, path, data):
        """A new file."""

    def append(self, path, data):
        self.blocks.append(bytes(data))


def packets(path):
    """(ms, slots) of a file."""
    with open(path, "rb") as file:
        while True:
            head = file.read(6)
            if len(head) < 6:
                return
            ms, count = struct.unpack("<IH", head)
            yield ms, file.read(count)


def encode(path):
    """-> the blocks, frames, mean µs of a packet."""
    disk = Disk()
    recorder = CaptureRecorder(disk, 0)
    recorder.begin(1, "x", 0)
    total = frames = 0
    for ms, slots in packets(path):
        early = ms // 4 * 4
        began = ticks_us()
        recorder.add(slots, early, early + 4)
        recorder.step(early + 4)
        total += ticks_diff(ticks_us(), began)
        frames += 1
    recorder.end()
    return disk.blocks, frames, total / frames


def decode(blocks, path):
    """-> mean µs of a frame; each is compared with what went in, in time to a frame of 30 ms or its own period."""
    decoder, came = Decoder(), packets(path)
    total = frames = 0
    for block in blocks:
        decoder.block[:len(block)] = block
        assert decoder.open(len(block)) is None
        while True:
            began = ticks_us()
            more = decoder.next()
            total += ticks_diff(ticks_us(), began)
            if not more:
                break
            ms, slots = next(came)
            assert decoder.count == len(slots) and decoder.frame[:len(slots)] == slots, frames
            assert -30 < decoder.at - ms < 30, (decoder.at, ms)
            frames += 1
    assert not list(came)
    return total / frames


blocks, frames, mean = encode(sys.argv[1])
print("bytes", sum(len(block) for block in blocks), "frames", frames, "encode_us", mean, "decode_us",
      decode(blocks, sys.argv[1]))
