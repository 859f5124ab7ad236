"""The code of captures: what comes out is what went in, byte for byte, at its time; damage is seen."""

import random
import struct
import zlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from firmware.universe import SLOTS
from firmware.wire import capture_code, capture_code_read, capture_encoder, capture_format
from firmware.wire.capture_decoder import Decoder
from firmware.wire.capture_encoder import Encoder
from tests.feed import reader
from tests.vm import runner, tick

PERIOD = 22.716  # ms: 512 slots at full length (ANSI E1.11)


def record(frames, size=capture_format.LONGEST, pad=0):
    """Blocks of (ms early, ms late, slots)."""
    encoder, blocks = Encoder(), []
    for early, late, slots in frames:
        if not encoder.add(slots, early, late, size):
            blocks.append(bytes(encoder.block[: encoder.close(pad)]))
            assert encoder.add(slots, early, late, size)
    if encoder.frames:
        blocks.append(bytes(encoder.block[: encoder.close()]))
    return blocks


def played(blocks):
    """[(ms, slots)] of blocks."""
    decoder, out = Decoder(), []
    for block in blocks:
        decoder.block[: len(block)] = block
        assert decoder.open(len(block)) is None
        n = 0
        while decoder.next():
            out.append((decoder.at, bytes(decoder.frame[: decoder.count])))
            assert not any(decoder.frame[decoder.count :])
            n += 1
        assert n == decoder.frames
    return out


def polled(frames, step=4):
    """(ms exact, slots) as a loop sees them that comes round every `step` ms."""
    return [(int(t // step) * step, int(t // step) * step + step, slots) for t, slots in frames]


def still(n):
    return bytes([128] * 12 + [0] * 500)


def noise(n):
    return random.Random(n).randbytes(512)


def fade(n):
    return bytes(min(255, n // 8 * (k % 3)) for k in range(512))


def chase(n):
    return bytes(255 if k % 12 == n // 2 % 12 else 0 for k in range(512))


def fine(n):
    """16-bit ramps of different slopes: high bytes creep, low bytes run round."""
    out = bytearray(512)
    for k in range(0, 120, 2):
        out[k : k + 2] = divmod(n * (k * 3 + 7) & 65535, 256)
    return bytes(out)


FEEDS = {"still": still, "noise": noise, "fade": fade, "chase": chase, "fine": fine}


@pytest.mark.parametrize("name", FEEDS)
def test_byte_for_byte_and_in_time(name):
    """400 packets at full rate, seen by a loop of 4 ms: no frame missing, each within one frame of its time."""
    frames = [(n * PERIOD, FEEDS[name](n)) for n in range(400)]
    got = played(record(polled(frames)))
    assert [slots for _t, slots in got] == [slots for _t, slots in frames]
    assert all(abs(a - b) <= PERIOD for (a, _s), (b, _t) in zip(got, frames, strict=True))


@pytest.mark.parametrize("hz", [1, 2, 5, 10, 20, 25, 30, 40, 44])
@pytest.mark.parametrize("count", [24, 100, 512])
def test_rates_and_lengths(hz, count):
    period = max(1000 / hz, PERIOD if count == 512 else 0)
    frames = [(n * period, chase(n)[:count]) for n in range(80)]
    got = played(record(polled(frames)))
    assert [slots for _t, slots in got] == [slots for _t, slots in frames]
    assert all(abs(a - b) <= period for (a, _s), (b, _t) in zip(got, frames, strict=True))


def test_a_rate_that_changes_in_mid_stream():
    """44 a second, then 10, then 30, then a gap of three seconds: still and moving."""
    for slots in (still, chase):
        t, frames = 0.0, []
        for period, many in ((PERIOD, 100), (100, 40), (33.3, 60), (3000, 1), (PERIOD, 50)):
            for _ in range(many):
                t += period
                frames.append((t, slots(len(frames))))
        got = played(record(polled(frames)))
        assert [s for _t, s in got] == [s for _t, s in frames]
        worst = max(abs(a - b) for (a, _s), (b, _t) in zip(got, frames, strict=True))
        assert worst <= PERIOD


def test_packets_that_waited_while_flash_was_written():
    """Five packets come up at once after 110 ms: their own times lie between; the even rate says where."""
    frames, seen = [(n * PERIOD, still(n)) for n in range(300)], []
    for n, (t, slots) in enumerate(frames):
        early, late = int(t // 4) * 4, int(t // 4) * 4 + 4
        if n % 50 in range(40, 45):
            first = frames[n - n % 50 + 40][0]
            early, late = int(first // 4) * 4, int(first + 4 * PERIOD + 4)
        seen.append((early, late, slots))
    got = played(record(seen))
    assert all(abs(a - b) <= 8 for (a, _s), (b, _t) in zip(got, frames, strict=True))


def test_even_frames_cost_next_to_nothing():
    """Ten minutes of a still desk, one block a ten seconds closed by hand: the whole frame, and a few bits."""
    frames = polled([(n * PERIOD, still(n)) for n in range(440)])
    blocks = record(frames)
    assert len(blocks) == 1 and len(blocks[0]) <= capture_format.HEAD_SIZE + 30


def test_noise_does_not_grow():
    """512 values that say nothing: at most 2 % more than they are."""
    blocks = record([(23 * n, 23 * n + 4, noise(n)) for n in range(70)])
    assert sum(map(len, blocks)) <= 70 * 512 * 1.02


@given(st.lists(st.tuples(st.integers(1, 512), st.integers(0, 3000), st.binary(min_size=3, max_size=3)), max_size=40),
       st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_anything(steps, dice):
    t, slots, frames = 0, bytearray(dice.randbytes(512)), []
    for count, gap, change in steps:
        t += gap
        for _ in range(dice.randrange(4)):
            slots[dice.randrange(512)] = change[0]
        if change[1] > 200:
            slots[: change[2]] = dice.randbytes(change[2])
        frames.append((t, t + 4, bytes(slots[:count])))
    got = played(record(frames, size=dice.choice((1100, 2000, 4096))))
    assert [s for _t, s in got] == [s for _e, _l, s in frames]
    assert all(e - 7 <= at <= late + 7 for (at, _s), (e, late, _t) in zip(got, frames, strict=True))


def test_a_block_says_what_it_is():
    """The head as CAPTURES.md gives it, read with struct, and the CRC of zlib."""
    block = record([(1000 + 23 * n, 1004 + 23 * n, still(n)) for n in range(10)], pad=0)[0]
    magic, version, zero, length, frames, first, whole, period = struct.unpack_from("<2sBBHHIIH", block)
    assert (magic, version, zero, length, frames) == (b"\xd5\x12", 1, 0, len(block), 10)
    assert first == 1000 and abs(whole - 230) <= 8 and 700 < period < 760
    assert struct.unpack_from("<I", block, length - 4)[0] == zlib.crc32(block[:-4])


def test_a_block_can_be_filled_up():
    encoder = Encoder()
    encoder.add(still(0), 0, 4, 4096)
    assert encoder.close(2000) == 2000
    assert played([bytes(encoder.block[:2000])]) == [(0, still(0))]


def test_every_flipped_bit_is_seen():
    block = record([(23 * n, 23 * n + 4, chase(n)) for n in range(20)])[0]
    decoder = Decoder()
    for bit in range(len(block) * 8):
        bad = bytearray(block)
        bad[bit >> 3] ^= 1 << (bit & 7)
        decoder.block[: len(bad)] = bad
        assert decoder.open(len(bad)) is not None


def test_bits_that_make_no_sense_end_and_do_no_harm():
    """Random bits under a right CRC (a faulty writer): the decoder ends, inside its buffers."""
    dice, decoder = random.Random(3), Decoder()
    for _ in range(300):
        bits = dice.randbytes(dice.randrange(1, 300))
        length = capture_format.HEAD_SIZE + len(bits) + 4
        block = struct.pack("<2sBBHHIIH", b"\xd5\x12", 1, 0, length, dice.randrange(1, 5000), 0, 0, 727) + bits
        block += struct.pack("<I", zlib.crc32(block))
        decoder.block[:length] = block
        assert decoder.open(length) is None
        n = 0
        while decoder.next():
            n += 1
        assert n <= 5000


def test_native_and_plain_are_equal_on_the_vm():
    assert runner.run("tests/vm/capture_code_twins.py", heap="1m").strip() == "equal 12"


def test_what_both_sides_know_has_one_size():
    assert len(Encoder()._states) == len(Decoder()._states) == capture_code.STRIDE + 2 * SLOTS


@pytest.mark.parametrize("name", FEEDS)
def test_a_reader_written_from_the_page_alone_reads_it(name):
    """tests/feed/reader.py knows CAPTURES.md and nothing of the firmware."""
    frames = [(n * PERIOD + (n > 60) * 400, FEEDS[name](n)[: 512 if n < 90 else 300]) for n in range(200)]
    blocks = record(polled(frames))
    got = reader.frames(b"".join(blocks))
    assert [s for _t, s in got] == [s for _t, s in frames]
    assert all(abs(a - b) <= 1 for (a, _s), (b, _t) in zip(got, played(blocks), strict=True))


def test_the_example_of_the_page():
    """The block that CAPTURES.md shows is what the encoder writes for its frames, and the reader reads them from it."""
    lines = (runner.ROOT / "firmware/wire/CAPTURES.md").read_text().split("## An example")[1].splitlines()
    shown = [bytes.fromhex(line) for line in lines if line.startswith("    ")]
    slots, block = shown[:5], b"".join(shown[5:])
    assert record([(23 * n, 23 * n + 4, frame) for n, frame in enumerate(slots)]) == [block]
    assert [frame for _ms, frame in reader.frames(block)] == slots


def test_that_reader_on_a_fade_of_forty_lamps():
    """Real ramps of 8 and 16 bits, with all that moving slots can do."""
    stage = tick.stage()
    stage.go("A", 0)
    stage.step(0)
    stage.go("B", 6)
    frames = []
    for n in range(280):
        stage.step(int(n * PERIOD))
        frames.append((n * PERIOD, bytes(stage.frame)))
    blocks = record(polled(frames))
    assert [s for _t, s in reader.frames(b"".join(blocks))] == [s for _t, s in frames]
    assert [s for _t, s in played(blocks)] == [s for _t, s in frames]


def test_where_the_heap_is_in_pieces_blocks_are_shorter(monkeypatch):
    def full(size):
        if size == capture_format.LONGEST:
            raise MemoryError
        return bytearray(size)

    frames = polled([(n * PERIOD, noise(n)) for n in range(40)])
    whole = record(frames)
    monkeypatch.setattr(capture_encoder, "bytearray", full, raising=False)
    blocks = record(frames)
    monkeypatch.undo()
    assert max(map(len, blocks)) <= 2048 < max(map(len, whole))
    assert [slots for _ms, slots in played(blocks)] == [slots for _early, _late, slots in frames]


@pytest.mark.parametrize("data, wanted", [
    (b"", -1), (b"\x01\x07\x08", -1), (b"\x01\x07", -1), (b"\x80", -1), (b"\x01\x07\x08\x80\x09", 5),
    (b"\x01\x07\x08\x81\x09", -1),
], ids=str)
def test_runs_that_end_early_or_go_beyond_the_frame(data, wanted):
    """Five slots, as firmware/wire/CAPTURES.md has them: c + 1 slots as they are, or c - 125 times the same."""
    states = bytearray(6)
    assert capture_code_read.read_runs(data, 0, len(data), states, 5) == wanted
    assert states[5] == 0
    if wanted > 0:
        assert bytes(states[:5]) == b"\x07\x08\x09\x09\x09"
