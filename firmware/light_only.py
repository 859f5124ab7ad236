"""What is left where the app crashes: the crash is logged, and after three in a row the device is only a light.

Loaded by firmware/main when it happens. The line goes on by itself (a restart leaves it, see hal.contract.Line.held),
and MicroPython's prompt is there for the commands of `halfstop`.
"""

from firmware.parts import once
from firmware.show.fault_log import FaultLog


def log(board, error, where):
    """Log a crash: of several in a row that are alike, the first. where: file, line and function."""
    faults, what = FaultLog(board.disk), "Crashed: %r" % error
    last = faults.entries()[:1] if board.power.crashes else ()
    if not last or last[0][1:] != (what, where):
        faults.add(board.clock.ms(), what, where)


def tell(board):
    """Say on the console and on the panel that only the light is on, and why."""
    entries = FaultLog(board.disk).entries()
    print("halfstop: the start failed %d times, so the line only goes on with the light that it has." %
          board.power.crashes)
    if entries:
        print("The cause: %s, %s" % entries[0][1:])
    print("Save your shows by `halfstop backup`, then `halfstop flash`; unplug the board to try again.")
    board.power.calm()  # what starts the board next, a flash or a hand, is to try again
    try:
        once("firmware.ui.light_only", "draw", board.panel)
    except Exception as e:  # the screen's code may be what fails, and the light needs none
        print("The screen stays dark:", repr(e))
