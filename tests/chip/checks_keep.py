"""What outlasts the worst: the plug pulled while the light is being kept, a program that hangs, a new firmware."""

import random
import subprocess
import sys

import boards
from host import pack
from tests.chip.device import TX, Device
from tests.chip.emulated import Emulated
from tests.chip.line import Packets
from tests.chip.port import Terminal
from tests.host.test_flash import loose

_SAVED_MS = 8000  # a change is being saved by then
_WRITING_MS = 1, 4, 50  # a page, a few of them, a sector and all that follows
_BITES_MS = 2500
_PATIENCE_S = 120  # of this machine, which may be slower than the chip


def cuts(report, uf2, count):
    """The plug is pulled at random moments while the state is written: the light of before or of after comes back, and
    stays when the app takes over."""
    device, rng = Device(uf2, "pico_tft", "demo"), random.Random(8)
    device.twin = None
    device.start()
    device.run(500)
    wrong, torn, never = [], 0, 0
    for n in range(count):
        before = device.line.before(device.ns)
        device.turn(-3 if n % 2 else 3)
        device.run(100)
        after = device.line.before(device.ns)
        never += before == after or not device.chip.run(_SAVED_MS, device.chip.core.busy)
        device.run(rng.uniform(0, rng.choice(_WRITING_MS)))
        torn += bool(device.chip.core.busy())
        cut = device.ns
        ready = device.power_cycle()
        device.run(300)
        shown = {slots for _, slots in device.line.since(cut)}
        if ready is None or len(shown) != 1 or not shown <= {before, after}:
            wrong.append((n, ready, len(shown)))
    report.check("in each of the cuts something was being kept", not never, f"{count - never} of {count}")
    report.check("after a cut in mid-save the light is that of before or of after, with no jump", not wrong,
                 wrong or f"{count} cuts, {torn} of them while the flash was busy")


def watchdog(report, uf2):
    """The loop is stopped from the console, as the host's commands do: the line goes on, the watchdog restarts the
    chip, and the light stays: one that was kept long ago, and one that was dialled just before."""
    device = Device(uf2, "pico_tft", "demo")
    device.twin = None
    device.start()
    device.run(500)
    for what, ms in (("kept", _SAVED_MS), ("dialled just before", 300)):
        device.turn(3)
        device.run(ms)
        _stop(report, device, what)


def _stop(report, device, what):
    stopped, light, count = device.ns, device.line.before(device.ns), len(device.chip.restarts)
    device.chip.type("\x03")
    bitten = device.chip.run(_BITES_MS, lambda: len(device.chip.restarts) > count)
    report.check("a loop that hangs is restarted by the watchdog", bitten,
                 f"{(device.ns - stopped) / 1e6:.0f} ms after it was stopped")
    ready = device.start_again()
    device.run(300)
    packets = device.line.since(stopped)
    gap = max((b - a) / 1e6 for (a, _), (b, _) in zip(packets, packets[1:]))
    other = [ns for ns, slots in packets if not light.startswith(slots)]  # one packet was broken off
    report.check("the app runs again", ready is not None, ready)
    report.check(f"the light that was {what} is the same through all of it", not other,
                 f"{len(packets)} packets, {len(other)} of other light, at most {gap:.0f} ms between two")


def flash(report, uf2):
    """`host flash` over the USB port, onto a chip with the loose files of earlier firmware, and onto an empty one."""
    board = boards.load("pico_tft")
    wanted = pack.packed(board, pack.ARCH[board.CHIP])
    for what, files in (("loose files", loose(pack.ARCH[board.CHIP])), ("an empty file system", {})):
        chip = Emulated(uf2, files)
        chip.run(1000)
        with Terminal(chip) as terminal:
            told = subprocess.run([sys.executable, "-m", "host", "flash", "--board", board.NAME, "--wait",
                                   str(_PATIENCE_S), "--port", terminal.port],
                                  capture_output=True, text=True, timeout=20 * _PATIENCE_S)
        said = (told.stdout + told.stderr).strip().splitlines()[-1:]
        report.check(f"host flash onto {what} ends well", told.returncode == 0,
                     said if told.returncode == 0 else said + [bytes(chip.said[-400:])])
        chip.power_cut()
        there = chip.files()
        report.check("then the firmware is there, and nothing of an earlier one",
                     all(there.get(path) == data for path, data in wanted.items())
                     and not any(path.startswith("firmware/") for path in there), sorted(there)[:6])
        line = Packets(chip.watch(TX))
        chip.power_up()
        begun = chip.ns
        chip.run(8000, lambda line=line: len(line.take()) > 3)
        started = line.packets and f"first packet {(line.packets[0][0] - begun) / 1e6:.0f} ms after power-up"
        report.check("and it starts", bool(line.packets), started)
