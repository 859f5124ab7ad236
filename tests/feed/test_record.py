"""Recording to flash and playing back: nothing lost, in time, over pulled plugs, damage and a full disk."""

import random

import pytest

from firmware.show import captures
from firmware.stage.capture_file import CaptureFile
from firmware.stage.capture_player import CapturePlayer
from firmware.stage.capture_recorder import CaptureRecorder
from sim.disk import MemoryDisk, PowerCut
from sim.flash import LittleDisk
from tests.feed.test_capture import FEEDS, PERIOD, noise, still

PATH = "captures/1.cap"


def disk_for_captures(kind=MemoryDisk, **options):
    disk = kind(**options)
    disk.mkdir("captures")
    return disk


def record(disk, frames, begin=0):
    """Record (ms, slots), seen by a loop of 4 ms -> the Recorder, ended."""
    recorder = CaptureRecorder(disk, begin)
    recorder.begin(1, PATH, begin)
    for t, slots in frames:
        early = int(t // 4) * 4
        recorder.add(slots, early, early + 4)
        recorder.step(early + 4)
    recorder.end()
    return recorder


def tape(disk):
    """[(ms, slots)] of the file, read to its end, and the Tape."""
    t = CaptureFile(disk, PATH)
    while not t.scan(4):
        pass
    out = []
    while t.open():
        while t.decoder.next():
            out.append((t.decoder.at, bytes(t.decoder.frame[: t.decoder.count])))
    return out, t


def frames_of(name, seconds, period=PERIOD):
    return [(n * period, FEEDS[name](n)) for n in range(int(seconds * 1000 / period))]


def played(disk, about=None, step=4, speed=10, most=100_000):
    """[(ms since the start, slots)] as a Player gives them -> and the Player."""
    about = about or captures.about(disk, 1)[0]
    player, now, out = CapturePlayer(disk, PATH, about, 0), 0, []
    player.speed = speed
    while not player.ended and now < most:
        if player.step(now):
            out.append((now, bytes(player.frame[: player.count])))
        now += step
    return out, player


@pytest.mark.parametrize("name", FEEDS)
def test_recorded_is_what_came(name):
    disk = disk_for_captures()
    frames = frames_of(name, 12 if name == "noise" else 25)
    recorder = record(disk, frames)
    got, t = tape(disk)
    assert [s for _t, s in got] == [s for _t, s in frames]
    assert all(abs(a - b) <= PERIOD for (a, _s), (b, _t) in zip(got, frames, strict=True))
    assert t.missing == [] and abs(t.ms - frames[-1][0] - PERIOD) <= PERIOD
    assert recorder.end() == disk.length(PATH) and recorder.frames == len(frames)


def test_played_back_in_time():
    """Every new picture of a chase goes out within one frame of when it came in."""
    disk = disk_for_captures()
    frames = frames_of("chase", 15)
    record(disk, frames)
    out, player = played(disk)
    changes = [(t, s) for k, (t, s) in enumerate(frames) if not k or s != frames[k - 1][1]]
    seen = [(t, s) for k, (t, s) in enumerate(out) if not k or s != out[k - 1][1]]
    assert [s for _t, s in seen] == [s for _t, s in changes]
    assert all(abs(a - b) <= PERIOD for (a, _s), (b, _t) in zip(seen, changes, strict=True))
    assert player.ended


@pytest.mark.parametrize("speed", [1, 5, 20, 40])
def test_speeds(speed):
    """0.1x to 4x: the same pictures, at times stretched by as much."""
    disk = disk_for_captures()
    frames = frames_of("chase", 6)
    record(disk, frames)
    out, _player = played(disk, speed=speed)
    changes = {s: t for t, s in reversed(frames)}
    firsts = {s: t for t, s in reversed(out)}
    assert firsts.keys() == changes.keys()
    last = max(t for t, _s in out)
    assert last == pytest.approx(frames[-1][0] * 10 / speed, abs=2 * PERIOD * 10 / speed + 8)


def test_pause_holds_the_frame():
    disk = disk_for_captures()
    record(disk, frames_of("chase", 5))
    player = CapturePlayer(disk, PATH, captures.about(disk, 1)[0], 0)
    for now in range(0, 1000, 4):
        player.step(now)
    at, frame = player.at, bytes(player.frame)
    player.paused = True
    for now in range(1000, 9000, 4):
        assert not player.step(now)
    assert (player.at, bytes(player.frame)) == (at, frame)
    player.paused = False
    player.step(9004)
    assert player.at == at + 8


def numbered(n):
    """A frame that says its own number."""
    return bytes(8) + n.to_bytes(2, "big") + bytes(502)


def number(slots):
    return int.from_bytes(slots[8:10], "big")


@pytest.fixture
def numbers():
    """40 seconds of frames that say their numbers: several blocks."""
    disk = disk_for_captures()
    record(disk, [(n * PERIOD, numbered(n)) for n in range(int(40_000 / PERIOD))])
    return disk


def test_trim_and_loop(numbers):
    about = dict(captures.about(numbers, 1)[0], start=15_000, end=16_000, loop=1)
    out, player = played(numbers, about, most=5000)
    first, last = int(15_000 / PERIOD), int(16_000 / PERIOD)
    seen = [number(s) for _t, s in out]
    assert set(seen) == set(range(min(seen), max(seen) + 1))
    # What lies before the start in its block (5 s) is gone through in some steps of the loop: it comes in a bit late.
    assert -1 <= min(seen) - first <= 3 and abs(max(seen) - last) <= 1
    assert seen.count(first + 10) == 5 and not player.ended


def test_seek_lands_on_the_frame_that_was_on(numbers):
    player = CapturePlayer(numbers, PATH, captures.about(numbers, 1)[0], 0)
    for ms in (0, 9_990, 10_010, 25_000, 39_000, 500):
        assert player.seek(ms)
        now = 0
        for _ in range(40):  # what lies before in the block is gone through in a few steps
            player.step(0)
        assert abs(number(player.frame) - ms / PERIOD) <= 1, (ms, now)


def test_a_long_file_keeps_few_places():
    """400 blocks: every second, then fourth is remembered, and any moment is still found."""
    disk = disk_for_captures()
    recorder = CaptureRecorder(disk, 0)
    recorder.begin(1, PATH, 0)
    for n in range(400):
        recorder.add(numbered(n), 10_000 * n, 10_000 * n + 4)
        recorder.step(10_000 * n + 10_004)
    recorder.end()
    t = CaptureFile(disk, PATH)
    while not t.scan(50):
        pass
    assert len(t._offsets) <= 128
    for ms in (0, 1_234_567, 3_990_001, 2_000_000):
        assert t.seek(ms) and t.decoder.next()
        assert number(t.decoder.frame) == ms // 10_000


@pytest.mark.parametrize("half", [False, True])
def test_a_pulled_plug_costs_no_whole_block(half):
    """A real littlefs, cut at every program and erase of a recording, also in the middle of one: after it all blocks
    that were written are there, byte for byte, and the next recording works."""
    frames = [(n * 50, noise(n)) for n in range(30)]
    cuts = 0
    for n in range(1, 200):
        disk = disk_for_captures(LittleDisk, size=1 << 18)
        recorder = CaptureRecorder(disk, 0)
        safe = 0
        try:
            disk.cut_after(n, half)
            recorder.begin(1, PATH, 0)
            for t, slots in frames:
                recorder.add(slots, t, t + 4)
                safe = recorder._written
            recorder.end()
            break
        except PowerCut:
            cuts += 1
        disk.power_up()
        got = []
        if captures.numbers(disk):
            got, t = tape(disk)
            assert t.missing == []
            assert disk.length(PATH) >= safe
        assert [s for _t, s in got] == [s for _t, s in frames[: len(got)]]
        assert len(got) * 512 >= safe * 0.85 - 4096  # what was written holds that many frames
        again = captures.new(disk)
        fresh = CaptureRecorder(disk, 0)
        fresh.begin(again, captures.path(again), 0)
        fresh.add(still(0), 0, 4)
        fresh.end()
        assert again in captures.numbers(disk)
    assert cuts > 25


def test_a_torn_tail_is_left_out():
    """Where a file system does not keep an append whole (the RAM disk leaves half of it)."""
    disk = disk_for_captures()
    recorder = CaptureRecorder(disk, 0)
    recorder.begin(1, PATH, 0)
    disk.cut_after(12)
    with pytest.raises(PowerCut):
        for n in range(1000):
            recorder.add(noise(n), 23 * n, 23 * n + 4)
    disk.power_up()
    got, t = tape(disk)
    assert [s for _t, s in got] == [noise(n) for n in range(len(got))]
    assert len(got) >= 7 * 4 and t.missing == []


@pytest.mark.parametrize("spoil", ["a bit", "head", "zeros", "lost"])
def test_damage_in_the_middle_plays_the_rest(numbers, spoil):
    """Three blocks of five are sound: the rest plays, and what is missing is said with its place and length."""
    data = bytearray(numbers.files[PATH])
    starts = [k for k in range(len(data)) if data[k : k + 3] == b"\xd5\x12\x01"]
    begin, end = starts[1], starts[2]
    if spoil == "a bit":
        data[(begin + end) // 2] ^= 4
    elif spoil == "head":
        data[begin : begin + 8] = bytes(8)
    elif spoil == "zeros":
        data[begin + 5 : end + 40] = bytes(end + 35 - begin)
    else:
        del data[begin:end]
    numbers.files[PATH] = bytes(data)
    got, t = tape(numbers)
    seen = [number(s) for _t, s in got]
    assert seen == sorted(set(seen)) and seen[0] == 0
    assert len(t.missing) == 1 or spoil == "lost"
    if spoil != "lost":
        start, stop = t.missing[0]
        gone = 20_000 if spoil == "zeros" else 10_000
        assert 9_900 <= start <= 10_100 and stop - start == pytest.approx(gone, abs=100)
        out, player = played(numbers)
        assert player.ended and number(out[-1][1]) == seen[-1]


def test_what_is_missing_is_said_in_words(numbers):
    data = bytearray(numbers.files[PATH])
    data[len(data) // 3] ^= 1
    numbers.files[PATH] = bytes(data)
    player, now = CapturePlayer(numbers, PATH, captures.about(numbers, 1)[0], 0), 0
    while not player.message and now < 50_000:
        player.step(now)
        now += 4
    assert player.message == "Capture 1: 10.0 s missing at 0:10 (damaged)"


def test_a_full_flash_keeps_what_was_recorded():
    disk = disk_for_captures(LittleDisk, size=1 << 17)
    recorder = CaptureRecorder(disk, 0)
    recorder.begin(1, PATH, 0)
    n = 0
    while not recorder.full:
        recorder.add(noise(n), 23 * n, 23 * n + 4)
        n += 1
        assert n < 1000
    assert recorder.message.startswith("Flash is full: 0:0")
    got, t = tape(disk)
    assert [s for _t, s in got] == [noise(k) for k in range(len(got))]
    assert len(got) >= 100 and t.missing == []
    assert disk.free()[0] >= 16_384, "looks and the light can still be kept"
    with pytest.raises(OSError, match="no room to record"):
        CaptureRecorder(disk, 0).begin(2, captures.path(2), 0)


def test_a_disk_that_refuses_ends_the_recording_and_keeps_it():
    class Sick(MemoryDisk):
        def append(self, path, data):
            if self.files[path]:
                raise OSError(5, path)
            MemoryDisk.append(self, path, data)

    disk = disk_for_captures(Sick)
    recorder = CaptureRecorder(disk, 0)
    recorder.begin(1, PATH, 0)
    for n in range(40):
        recorder.add(noise(n), 23 * n, 23 * n + 4)
    assert recorder.full and "error 5" in recorder.message
    assert len(tape(disk)[0]) == 7


def test_blocks_end_where_flash_blocks_do():
    """Noise, which fills blocks: one erase for each 4 KB, and few for the folder's entries (littlefs itself counts)."""
    disk = disk_for_captures(LittleDisk, size=1 << 19)
    before = sum(disk.flash.erases)
    record(disk, [(23 * n, noise(n)) for n in range(420)])
    blocks = disk.length(PATH) / 4096
    assert blocks > 50
    assert sum(disk.flash.erases) - before <= 1.25 * blocks


def test_minutes_are_told_before_and_while_it_records():
    """Noise is told to last far shorter than a feed that stands; and what is told before a recording comes true, to the
    minute in which it is full."""
    disk = disk_for_captures(size=1 << 19)
    recorder = CaptureRecorder(disk, 0)
    assert recorder.minutes() is None
    for n in range(400):
        recorder.add(noise(n)[:64], 23 * n, 23 * n + 4)
    assert recorder.number == 0 and not captures.numbers(disk)
    fresh = CaptureRecorder(disk, 0)
    for n in range(200):
        fresh.add(still(n), 23 * n, 23 * n + 4)
    told = recorder.minutes()
    assert told >= 1
    assert fresh.minutes() > 60 * told
    recorder.begin(1, PATH, 0)
    n = 0
    while not recorder.full:
        recorder.add(noise(n)[:64], 23 * n, 23 * n + 4)
        recorder.step(23 * n + 4)
        n += 1
    assert told <= 23 * n / 60_000 < told + 1.1


def test_no_file_no_capture_nothing_to_play():
    disk = disk_for_captures()
    with pytest.raises(OSError):
        CapturePlayer(disk, PATH, captures.about(disk, 1)[0], 0)
    disk.write(PATH, b"")
    with pytest.raises(ValueError, match="holds nothing"):
        CapturePlayer(disk, PATH, captures.about(disk, 1)[0], 0)
    disk.write(PATH, random.Random(1).randbytes(20_000))
    with pytest.raises(ValueError, match="holds nothing"):
        CapturePlayer(disk, PATH, captures.about(disk, 1)[0], 0)


def test_the_list_of_captures():
    disk = MemoryDisk()
    assert captures.numbers(disk) == [] and captures.new(disk) == 1
    disk.write(captures.path(1), b"x")
    disk.write(captures.path(12), b"x")
    disk.write("captures/other.txt", b"x")
    assert captures.numbers(disk) == [1, 12] and captures.new(disk) == 13
    assert captures.about(disk, 12)[0]["name"] == "Capture 12"
    captures.rename(disk, 12, " Fire ")
    assert captures.about(disk, 12)[0]["name"] == "Fire"
    for bad in ("", "  ", "x" * 25):
        with pytest.raises(ValueError, match="1 to 24"):
            captures.rename(disk, 12, bad)
    captures.remove(disk, 12)
    assert captures.numbers(disk) == [1]
    captures.put_back(disk, 12)
    assert captures.numbers(disk) == [1, 12] and captures.about(disk, 12)[0]["name"] == "Fire"
    captures.remove(disk, 12)
    captures.remove(disk, 1)
    assert not [p for p in disk.files if "12" in p], "the next deletion makes it final"
    with pytest.raises(OSError):
        captures.put_back(disk, 12)

