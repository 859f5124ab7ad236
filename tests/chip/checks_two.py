"""Two universes on an RP2040: 64 lamps, half of them on each port, both lines from the start on."""

from firmware.show import rig_edit
from sim import Bench
from sim.disk import MemoryDisk
from tests.bench.memory import _KINDS
from tests.chip import shows
from tests.chip.device import Device
from tests.chip.line import Packets

BOARD, LAMPS = "pico_tft", 64
TX2 = 4
_SAVED_S = 6


def two(report, uf2):
    """All of it."""
    files, frames = kept()
    device = Device(uf2, BOARD, files=shows.firmware(BOARD) | files)
    second = Packets(device.chip.watch(TX2))
    device.twin = twin(files)
    started = device.start()
    device.run(3000)
    lines = device.line, second
    for n, line in enumerate(lines):
        first_ns, first = line.take()[0]
        report.check(f"port {n + 1} begins with the light that was on", first == frames[512 * n:][:512],
                     f"after {first_ns / 1e6:.1f} ms, the app after {started:.0f}")
        report.check(f"port {n + 1} goes on with it", line.before(device.ns) == frames[512 * n:][:512], "3 s")
    begun = device.ns
    device.tap("black")
    device.run(3000)
    for n, (line, port) in enumerate(zip(lines, device.twin.ports)):
        now, before = line.before(device.ns), frames[512 * n:][:512]
        away = [abs(a - b) for a, b in zip(now, port.frame)]
        report.check(f"port {n + 1} is black by the key, as in the simulator", now != before and not any(away),
                     f"{sum(a != b for a, b in zip(now, before))} slots moved, {sum(map(bool, away))} are others")
        starts = [ns for ns, _ in line.since(begun)]
        longest = max(b - a for a, b in zip(starts, starts[1:])) / 1e6
        report.check(f"port {n + 1} never waits", longest < 22.8 and line.bad == 0, f"longest {longest:.2f} ms")
    free = device.heap.free_if_collected()
    report.check("the heap has room", free > 40_000, f"{free} bytes free on Light, {LAMPS} lamps, one look")


def kept():
    """(the files of a device that was switched off with its light on, the frames of both lines)."""
    disk = MemoryDisk()
    with Bench(board=BOARD, show=None, disk=disk) as b:
        b.app.set_setting("port2", 1)
        b.restart()
        b.run(0.5)
        rig = b.app.show.rig
        for n in range(LAMPS):
            kind = rig.personality(_KINDS[n % len(_KINDS)])
            rig.add(kind, f"Lamp {n}", rig_edit.first_free(rig, kind.slots, 1 if n < LAMPS // 2 else 513))
        b.app.show.save_rig()
        b.run(0.2)
        for n, f in enumerate(rig.fixtures):
            b.app.stage.dial(f, level=0.3 + n / 100, hue=5 * n, sat=0.5)
        b.run(0.5)
        b.app.stage.store("Both")
        b.run(_SAVED_S)
        frames = b.frames
        b.cut_power()
        return {path: bytes(data) for path, data in b.disk.files.items()}, frames


def twin(files):
    """The simulator, started from the same files."""
    disk = MemoryDisk()
    for path, data in files.items():
        for at, c in enumerate(path):
            if c == "/":
                disk.mkdir(path[:at])
        disk.write(path, data)
    return Bench(board=BOARD, show=None, disk=disk)
