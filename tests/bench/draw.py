"""What a redraw after one detent costs: ms and bytes on each panel, and how long it can hold up the tick.

Measured on the unix VM, machine code compiled, the real drivers on a bus that only counts. A step of the app draws one
slice of the page or sends eight rows, and goes on with the next only while the step is under 1 ms old: so the tick
waits for one slice at most, and 1 ms. The chip's time of a slice is worked out, not measured: the VM's, at the ratio of
an empty loop's turn on an emulated RP2040 (4.8 µs) to the same here, plus the panel's bus. That is the ratio of
bytecode; machine code, a fifth or less of a slice, has a ratio three times as large.
"""

import tempfile

from sim import demo
from sim.disk import FolderDisk
from tests.vm import runner

CHIP_LOOP_NS = 4800  # a turn of the empty loop on an RP2040 at 125 MHz
BUS_MS = {"tft": 8 * 320 * 16 / 37_500_000 * 1000, "oled": 3.1}  # eight rows: SPI at 37.5 MHz; I2C at 400 kHz
PAGES = ("light", "looks", "home", "settings", "rig", "slots")


def measure(folder, panel, page):
    """(times of the steps that draw, of those that send, bytes, ns of a turn of the empty loop), µs."""
    draws, sends, count, bare = [], [], 0, 0.0
    said = runner.run("tests/vm/draw.py", runner.ROOT, folder, panel, page, heap="2m")
    for line in said.splitlines():
        word, value = line.split()
        if word in ("draw", "send"):
            (draws if word == "draw" else sends).append(int(value))
        elif word == "bytes":
            count = int(value)
        else:
            bare = float(value)
    return draws, sends, count, bare


def figures():
    """Keys of FIGURES, and per page the longest slice in µs on the VM."""
    out, worst, longest = {"tft_chip_worst_slice_ms": 0, "oled_chip_worst_slice_ms": 0}, 0, {}
    with tempfile.TemporaryDirectory() as folder:
        demo.write(FolderDisk(folder))
        for panel in ("tft", "oled"):
            for page in PAGES:
                draws, sends, count, bare = measure(folder, panel, page)
                longest[f"{panel}_{page}"] = max(draws)
                ratio = CHIP_LOOP_NS / bare
                chip = max(max(draws) * ratio / 1e3, max(sends) * ratio / 1e3 + BUS_MS[panel])
                key = panel + "_chip_worst_slice_ms"
                out[key] = max(out[key], round(chip, 1))
                if page == "light":
                    out[panel + "_ms"] = round(sum(draws + sends) / 1000, 3)
                    out[panel + "_bytes"] = count
                    out[panel + "_steps"] = len(draws) + len(sends)
                worst = max(worst, *draws, *sends)
    out["clock"] = "virtual"
    out["worst_tick_delay_ms"] = round(worst / 1000, 3)
    out["longest_slice_us"] = longest
    out["note"] = ("times on the unix VM; bytes and steps for the page Light after one detent of a lamp's level. "
                   "chip_worst_slice_ms is worked out for an RP2040 at 125 MHz from the ratio of an empty loop's turn "
                   f"({CHIP_LOOP_NS / 1000} µs there), with the bus; it was not measured on a chip. Steps "
                   "as an emulated chip takes them: docs/CHIP.md")
    return out
