"""The board's entry point: the flash's /main.py calls run().

The order matters: the board first, then the light that was on (a restart by the watchdog must have it on the line
before anything slow is loaded), then the app with all its imports, then the watchdog, which nothing slow may follow.
"""

import gc
import io
import sys

from firmware.parts import once

_WATCHDOG_MS = 2000
_OLD = "halfstop_old.mpy"
# Collecting often while modules load packs what stays at the low end of the heap, but each collection takes some 20 ms.
# On the emulated RP2040 the first packet of a new device left after 3.4 s with 4096, 2.7 s with 12288 (of 110 KB free,
# 95 in one piece) and 2.4 s with 65536 (78 in one piece).
_TIDY = 12288
_CALM = 32768


def run():
    """Start the board and step the app for ever; after a crash, restart with the line going on."""
    board = once("firmware.start", "make")
    gc.threshold(_TIDY)
    from firmware.app import VERSION, App

    print("halfstop", VERSION, board.name)
    app = App(board)
    _drop_old(board.disk)
    gc.collect()
    gc.threshold(_CALM)
    board.power.watchdog(_WATCHDOG_MS)
    try:
        while True:
            app.step(board.clock.ms())
    except KeyboardInterrupt:  # the host's commands stop the app: keep what is on first
        app.state.flush(board.clock.ms())
        raise
    except Exception as e:  # the last place that can: keep what happened, then begin again
        app.log.add(board.clock.ms(), "Crashed: %r" % e, _where(e))
        board.power.restart()


def _drop_old(disk):
    """The firmware before this one stays on the flash until this one has started (host/flash.py)."""
    try:
        disk.remove(_OLD)
    except OSError:  # there is none; or the disk is full, then the next start removes it
        pass


def _where(error):
    """Print a traceback, and return its innermost line: file, line, function."""
    text = io.StringIO()
    sys.print_exception(error, text)
    print(text.getvalue())
    files = [line.strip() for line in text.getvalue().split("\n") if line.startswith("  File")]
    return files[-1] if files else ""
