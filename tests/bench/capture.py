"""Captures: bytes a second for each feed, minutes in flash, frames lost, time of the code on the VM, against zlib."""

import json
import random
import struct
import tempfile
import zlib

from firmware.stage.capture_file import CaptureFile
from firmware.ui.pages.feed import feed_control
from sim import Bench
from tests.feed.flash import SlowDisk
from tests.feed.test_bench import Desk
from tests.vm import runner, tick

_FULL_MS = 22.716  # 512 slots back to back (ANSI E1.11)
_FLASH = 512 * 1024
_EVERY_S = 300  # between two looks of a slow scene


def figures():
    """bytes_per_s, vs_zlib: one key a feed. slow: 40 mixed fixtures, 8 and 16 bits, go to another look every five
    minutes in 10 s (slow_fades: in 30 s; slow_8bit: 8-bit fixtures in 30 s). lost: frames of the desk that are not in
    the capture, on a device whose flash takes its typical time."""
    rates, ratios, codes, decodes = {}, {}, [], []
    for name, packets in feeds().items():
        size, mean, decode = on_the_vm(packets)
        seconds = (packets[-1][0] + _FULL_MS - packets[0][0]) / 1000
        rates[name] = round(size / seconds, 1)
        ratios[name] = round(size / len(zlib.compress(b"".join(slots for _ms, slots in packets), 6)), 3)
        codes.append(mean)
        decodes.append(decode)
    lost, late, stall = recorded()
    return {
        "bytes_per_s": rates,
        "minutes_in_512k_slow": round(_FLASH / rates["slow"] / 60, 1),
        "minutes_in_512k_slow_fades": round(_FLASH / rates["slow_fades"] / 60, 1),
        "minutes_in_512k_slow_8bit": round(_FLASH / rates["slow_8bit"] / 60, 1),
        "minutes_in_512k_noise": round(_FLASH / rates["noise"] / 60, 2),
        "lost": lost, "worst_time_error_ms": late, "longest_write_ms": stall, "vs_zlib": ratios,
        "vm_encode_us": round(max(codes), 1), "vm_decode_us": round(max(decodes), 1),
        "cpu_share_vm": round(max(codes) / (_FULL_MS * 1000), 5),
        **heap(),
        "note": "vm_*: the dearest feed, unix VM with machine code. zlib -6 sees one stream of slots, without times or "
                "blocks. Flash: 45 ms an erase, 0.4 ms a page (typical). heap_*: bytes on the 32-bit VM, code and "
                "data, recording and playing on top of the feed",
    }


def feeds():
    """{name: [(ms, slots)]}."""
    dice = random.Random(4)
    noise = [dice.randbytes(512) for _ in range(400)]

    def many(seconds, period, slots):
        return [(n * period, slots(n)) for n in range(int(seconds * 1000 / period))]

    def chase(ms):
        step = int(ms) // 50  # 20 a second
        return bytes([255 if n == step % 24 else 40 for n in range(24)] + [128] * 100 + [0] * 388)

    def chase_all(ms):
        step = int(ms) // 50
        return bytes(255 if n % 24 == step % 24 else 40 for n in range(512))

    out = {
        "still": many(120, _FULL_MS, lambda n: bytes([128] * 12 + [0] * 500)),
        "fade": fade(tick.KINDS, 60),
        "chase": many(60, _FULL_MS, lambda n: chase(n * _FULL_MS)),
        "chase_of_all_slots": many(60, _FULL_MS, lambda n: chase_all(n * _FULL_MS)),
        "noise": many(9, _FULL_MS, lambda n: noise[n]),
        "slow": slow(tick.KINDS, 10),
        "slow_fades": slow(tick.KINDS, 30),
        "slow_8bit": slow([kind for kind in tick.KINDS if not kind.endswith("16")], 30),
    }
    for hz in (1, 5, 10, 25, 44):
        out["chase_at_%d_hz" % hz] = many(60, 1000 / hz if hz < 44 else _FULL_MS, lambda n, hz=hz: chase(n * 1000 / hz))
    for count in (24, 100, 256, 512):
        out["noise_of_%d" % count] = many(9, _FULL_MS, lambda n, count=count: noise[n][:count])
    out["rate_changes"], ms = [], 0.0
    for n in range(1500):
        out["rate_changes"].append((ms, chase(ms)))
        ms += (_FULL_MS, 100, 33.3)[n // 100 % 3]
    return out


def fade(kinds, seconds):
    """One fade of 40 fixtures."""
    stage, out, n = tick.stage(kinds), [], 0
    stage.go("A", 0)
    stage.step(0)
    stage.go("B", seconds)
    while n * _FULL_MS < seconds * 1000:
        stage.step(int(n * _FULL_MS))
        out.append((n * _FULL_MS, bytes(stage.frame)))
        n += 1
    return out


def slow(kinds, seconds):
    """Two looks in turn, for ten minutes."""
    frames = [slots for _ms, slots in fade(kinds, seconds)]
    hold = int(_EVERY_S * 1000 / _FULL_MS) - len(frames)
    frames += [frames[-1]] * hold + frames[::-1] + [frames[0]] * hold
    return [(n * _FULL_MS, slots) for n, slots in enumerate(frames)]


def on_the_vm(packets):
    """(bytes, mean µs to encode a packet, mean µs to decode one)."""
    with tempfile.NamedTemporaryFile() as file:
        for ms, slots in packets:
            file.write(struct.pack("<IH", int(ms), len(slots)) + slots)
        file.flush()
        words = runner.run("tests/vm/capture.py", file.name, heap="4m").split()
    assert int(words[3]) == len(packets)
    return int(words[1]), float(words[5]), float(words[7])


def heap():
    """What the feed takes of a 32-bit heap: plain loops in place of the native ones."""
    pieces = (runner.ROOT / "tests/vm/feed_heap.py").read_text().split("# ---\n")
    with tempfile.NamedTemporaryFile("w", suffix=".json") as file:
        json.dump(pieces, file)
        file.flush()
        used = [int(line.split()[1]) for line in runner.run_wasm(file.name).splitlines() if line.startswith("heap ")]
    return {"heap_feed": used[1] - used[0], "heap_recording": used[2] - used[1], "heap_playing": used[3] - used[1]}


def recorded():
    """Record a desk of noise and one that chases on the whole device: (frames lost, worst error in ms of a frame's
    time, longest stall for flash in ms)."""
    lost = late = stall = 0
    for slots, seconds in ((_noise, 15), (_numbered_chase, 25)):
        disk = SlowDisk()
        with Bench(disk=disk) as b:
            disk.clock = b.clock
            sent, found = through_the_device(b, slots, seconds)
        stall = max(stall, disk.longest_us / 1000)
        times = {slots: us / 1000 for us, slots in sent}
        lost += len(times) - len({slots for _ms, slots in found})
        start = times[found[0][1]] - found[0][0]
        late = max(late, *(abs(times[slots] - start - ms) for ms, slots in found))
    return lost, round(late, 1), round(stall, 1)


def _noise(n):
    return random.Random(n).randbytes(512)


def _numbered_chase(n):
    return n.to_bytes(2, "big") + bytes(255 if k % 24 == n // 2 % 24 else 0 for k in range(510))


def through_the_device(b, slots, seconds):
    """([(µs, slots)] that the desk sent while it recorded, [(ms, slots)] in the capture): all differ."""
    desk = Desk(b)
    desk.slots = slots
    desk.run(1)
    feed_control.record(b.app)
    begun = len(desk.log)
    while len(desk.log) - begun < seconds * 44:
        desk.run(0.1)
    desk.slots = None
    desk.run(0.2)
    feed_control.stop_recording(b.app)
    tape, found = CaptureFile(b.board.disk, "captures/1.cap"), []
    while tape.open():
        while tape.decoder.next():
            found.append((tape.decoder.at, bytes(tape.decoder.frame)))
    return desk.log[begun:], found
