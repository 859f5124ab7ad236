"""The board's parts without the app: script.py on the emulated chip, held to ANSI E1.11."""

import pathlib

import boards
from host import pack
from tests.chip.emulated import Emulated
from tests.chip.look import knob_turn, packets, spaced, timing

TX, A, B = 0, 10, 11
SCRIPT = pathlib.Path(__file__).with_name("script.py")


def files():
    """What is packed for the board, with this folder's script for main.py, by the short names of what is packed."""
    board = boards.load("pico_tft")
    script = pack.names().shorten(SCRIPT.read_text(encoding="utf-8"))
    script = "import halfstop\n" + script  # the archive
    return pack.packed(board, pack.ARCH[board.CHIP]) | {"main.py": script.encode()}


def follow(report, uf2):
    """The script from power-up to the watchdog's restart and beyond."""
    chip = Emulated(uf2, files())
    edges = chip.watch(TX)
    started = chip.run(3000, lambda: len(edges) > 100)
    when = f"{edges[0][0] / 1e6:.0f} ms after power-up" if edges else bytes(chip.said[-300:])
    report.check("the line starts", started, when)
    if not started:
        return
    for n in range(3):
        knob_turn(chip, A, B, +1 if n < 2 else -1, ns=20_000_000 + n * 60_000_000)
    bitten = chip.run(3000, lambda: chip.restarts)
    report.check("the watchdog restarts a stuck chip", bitten, f"{len(chip.restarts)} restarts")
    before = [e for e in edges if not chip.restarts or e[0] < chip.restarts[0]]
    judge_before(report, before)
    chip.run(2500, lambda: b"on purpose" in chip.said)
    chip.run(120)
    judge_after(report, chip, edges, packets(before)[-1][1])


def judge_before(report, edges):
    """E1.11's transmitter timing, and that nothing was torn or late through collection, flash and the stuck loop."""
    found = timing(edges)
    report.check("break >= 92 µs (E1.11)", found["break_us"] >= 92, found["break_us"])
    report.check("mark after break >= 12 µs (E1.11)", found["mark_us"] >= 12, found["mark_us"])
    report.check("bits within 2 % (E1.11)", found["bit_error_percent"] <= 2, found["bit_error_percent"])
    report.check("44 packets a second", found["refresh_hz"] >= 44.0, round(found["refresh_hz"], 3))
    report.check("jitter of break to break <= 4 µs", found["jitter_us"] <= 4, found["jitter_us"])
    slots = [packet for _, packet in packets(edges)]
    whole = all(packet[2:] == bytes(n & 255 for n in range(2, 512)) for packet in slots)
    report.check("every packet is whole", whole, f"{len(slots)} packets")
    phases = sorted({packet[1] for packet in slots})
    report.check("through collecting, writing flash and a stuck loop", phases == [1, 2, 3, 4], phases)
    report.check("two detents on, one back", slots[-1][0] == 1, slots[-1][0])


def judge_after(report, chip, edges, last):
    """The same light after the restart, and the line going on after the program has ended."""
    again = [e for e in edges if e[0] > chip.restarts[0]]
    first = packets(again)[0] if packets(again) else (0, b"")
    wait = (spaced(again)[0] - chip.restarts[0]) / 1e6 if spaced(again) else None
    report.check("light again within 1 s of the restart", wait is not None and wait <= 1000, f"{wait} ms")
    report.check("it is the light that was on", first[1] == last, first[1][:4].hex())
    report.check("restarted by the watchdog", b"watchdog" in chip.said, bytes(chip.said[-160:]))
    ended = bytes(chip.said).find(b"on purpose") >= 0
    tail = [start for start in spaced(again) if start > chip.ns - 100_000_000]
    report.check("the line goes on after an exception ended the program", ended and len(tail) >= 4, len(tail))


