"""Runs on the VM: firmware/main.py on a bare board whose app crashes in its 100th step. Prints what main does."""

import sys

sys.path.insert(0, ".")
import sim.vm  # noqa: E402
from firmware import main  # noqa: E402
from hal.disk import Disk  # noqa: E402
from sim.hands import Board, Clock  # noqa: E402

calls = []


class Power:
    """Notes what main asks of the chip."""

    restarted = "power"
    crashes = 0

    def watchdog(self, ms):
        """Note it."""
        calls.append("watchdog %d" % ms)

    def feed(self):
        """Count the steps; the clock goes on with them."""
        clock.pass_us(4000)
        if clock.ms() == 400:
            raise RuntimeError("a bug")

    def restart(self):
        """Note it; main then ends."""
        calls.append("restart")

    def battery_mv(self):
        """Not measured."""

    def usb(self):
        """On USB."""
        return True


clock = Clock()
board = Board("bare", "none", (sim.vm.Line(),), sim.vm.Panel(128, 64, 1), Disk(sys.argv[1]), clock)
board.power = Power()


class Start:
    """In place of firmware/start.py."""

    @staticmethod
    def make():
        """The bare board."""
        return board


sys.modules["firmware.start"] = Start
main.run()
print(calls)
from firmware.show.fault_log import FaultLog  # noqa: E402

print(FaultLog(board.disk).entries())
print(board.lines[0].slots.hex())
