"""docs/CHIP.md: the last table, and of which firmware it is."""

import datetime
import functools
import pathlib
import re

import boards
from host import pack
from tests.chip import figures

PAGE = pathlib.Path(__file__).parents[2] / "docs/CHIP.md"
BOARDS = ("pico_tft", "pico_oled")
_DIGEST = re.compile(r"^\| (\w+) \| `([0-9a-f]{64})` \|$", re.M)
_HEAD = """# What the firmware does on the chip

No device has been built and measured yet. These figures are of the firmware as `halfstop flash` puts it on a
board, on a MicroPython image, on an emulated RP2040 (`tests/chip`): line, knob, keys and panel are judged by the edges
on the pins. `make test-chip UF2=path` takes them, `make chip-table UF2=path` takes them and writes this page.
"""
_NOTES = """
The full show has 64 lamps of eight kinds and 120 looks of all of them; the demo show has 6 lamps. Steps of the loop are
told apart by the watchdog, which the loop feeds at the begin of each; collections by the collector's marks in RAM; free
heap is what the collector would leave, worked out from RAM as it does it (`tests/chip/heap.py`). A step in which a page
is opened, a look stored or gone to has its own row, and is not among the steps of idle, turning and drawing.

## What this does not tell
* A real chip. The emulator counts the cycles of processor, PIO and DMA; flash takes its data sheet's typical times,
  misses of its cache a fixed time each. RAM is never contended for. No knob bounces, no panel is slow.
* The second core, which is not emulated, and which the firmware does not use.
* The RP2350 and the ESP32-S3: there is no emulator of them here. The RP2350 runs the same code, faster; its PIO and DMA
  programs are the same, its memory is larger. Of the ESP32-S3 nothing follows from these figures.
* A host that floods the USB port, and supply that sags.
"""


@functools.cache
def digests():
    """{board: SHA-256 of its packed firmware, in hex}."""
    return {name: pack.digest(boards.load(name)) for name in BOARDS}


def written(path=PAGE):
    """{board: the SHA-256 that the page says}; {} where there is no page."""
    return dict(_DIGEST.findall(path.read_text(encoding="utf-8"))) if path.exists() else {}


def stale(path=PAGE):
    """One line that says that the table is of other firmware than there is now; "" where it is not."""
    then, now = written(path), digests()
    other = [board for board, digest in now.items() if then.get(board) != digest]
    if not other:
        return ""
    return (f"docs/{path.name}: its table is of other packed firmware than there is now ({', '.join(other)}): take it "
            "anew with make chip-table UF2=path")


def page(version, found, failed, long):
    """The page: str. version: the image's words; found: Report.figures; failed: how many checks did not hold."""
    kept = [f"| {board} | `{digest}` |" for board, digest in digests().items()]
    day = datetime.date.today().isoformat()
    held = "All checks of correctness held" if not failed else f"{failed} checks of correctness failed"
    missed = sum(not figures.FIGURES[at[0]].holds(value, at[2]) for at, value in found.items())
    intro = (f"\nImage: MicroPython {version}. Taken on {day}, {'all checks' if long else 'without LONG=1'}, with the "
             f"times of the flash cache's misses. {held}; {missed} figures miss their goals.\n")
    hashes = ["", "| board | SHA-256 of its packed firmware |", "|---|---|", *kept, ""]
    return _HEAD + intro + "\n".join(hashes) + "\n" + "\n".join(figures.table(found)) + "\n" + _NOTES
