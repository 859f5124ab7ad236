"""From power to the first right frame on the line, on the Bench's virtual clock; and what was read for it.

The virtual clock counts no computing: `ms_to_first_right_frame` is what the firmware waits and how long the line takes.
The computing is timed on this machine's VM and scaled by a bare loop to an RP2040 at 125 MHz, where one iteration takes
4.8 us (measured on an emulator): an estimate, without the flash's own time.
"""

import tempfile

from sim import Bench
from sim.disk import FolderDisk
from tests.vm import runner

RP2040_LOOP_US = 4.8


def noted_reads(disk):
    """The paths read from a disk from now on: a list that fills."""
    paths, read = [], disk.read

    def noted(path):
        data = read(path)
        paths.append(path)
        return data

    disk.read = noted
    return paths


def start_again(bench):
    """Cut power with a look on, start: (ms until the first packet with the right slots has ended, paths read, those
    before it)."""
    bench.app.stage.go("Evening", 0)
    bench.run(6)
    right = bench.frame
    bench.cut_power()
    bench.run(1)
    paths = noted_reads(bench.disk)
    at_light = []
    send = bench.line.send
    bench.line.send = lambda slots: (at_light.append(len(paths)), send(slots))
    start = bench.clock.us()
    bench.boot()
    read = list(paths)
    while not any(us >= start and slots == right for us, slots in bench.line.packets):
        bench.step()
    return (bench.clock.us() - start) / 1000, read, read[: at_light[0]]


def computing(files):
    """(ms to the first frame, ms to a ready app) as an RP2040 would compute, by the VM's time; None without a VM."""
    with tempfile.TemporaryDirectory() as folder:
        disk = FolderDisk(folder)
        for path, data in files.items():
            for at, c in enumerate(path):
                if c == "/":
                    disk.mkdir(path[:at])
            disk.write(path, data)
        runs = [runner.run("tests/keep/vm/boot.py", folder, heap="1m").split() for _ in range(20)]
    # The least of each: other load on the machine only adds.
    frame, ready, loop_us = (min(float(run[i]) for run in runs) for i in range(3))
    scale = RP2040_LOOP_US / loop_us
    return round(frame * scale), round(ready * scale)


def figures():
    """Milliseconds to the first right frame, files read for it and in all; the estimate for an RP2040."""
    with Bench(show="demo") as bench:
        ms, read, before = start_again(bench)
        files = dict(bench.disk.files)
    frame, ready = computing(files)
    return {
        "clock": "virtual",
        "ms_to_first_right_frame": round(ms, 1),
        "files_read": len(set(before)),
        "files_read_in_all": len(set(read)),
        "rp2040_estimate_ms_to_frame": frame,
        "rp2040_estimate_ms_ready": ready,
        "note": "virtual: computing takes no time. What the firmware does on an emulated chip: docs/CHIP.md",
    }
