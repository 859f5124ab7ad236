"""The board's entry point: the flash's /main.py calls run().

The order matters: the board first, whose line then shows the light that was on, before anything slow is loaded; then
the watchdog; then the app with all its imports. Whatever fails after the board is there is logged and restarts the
chip, with the line going on. Where that happens three times in a row, only the light is started (light_only.py).
"""

import gc
import io
import sys

from firmware.parts import once

_START_MS = 8000  # of the watchdog while the app starts; the longest that an RP2040's can be set to is 8388
_WATCHDOG_MS = 2000
_CALM_MS = 30000  # so long without a restart, and the next one is the first again
_CRASHES = 3  # restarts in a row, after which the app is not started
_OLD = "halfstop_old.mpy"
# Collecting often while modules load packs what stays at the low end of the heap, but each collection takes some 25 ms
# on the emulated RP2040. What is then made of the show leaves more behind than it keeps.
_TIDY = 12288
_MAKING = 40000
_NEVER = -1  # the loop collects when nothing is in the way (app_loop.py)


def run():
    """Start the board and step the app for ever; after a crash, restart with the line going on."""
    board = once("firmware.start", "make")
    if board.power.crashes >= _CRASHES:
        once("firmware.light_only", "tell", board)
        return
    app = None
    try:
        board.power.watchdog(_START_MS)
        app = _start(board)
        _go_on(app, board)
    except KeyboardInterrupt:  # the host's commands stop the app: keep what is on first
        if app:
            app.state.flush(board.clock.ms())
        board.power.calm()
        raise
    except Exception as e:  # the last place that can: keep what happened, then begin again
        app = None
        once("firmware.light_only", "log", board, e, _where(e))
        board.power.restart()


def _start(board):
    gc.threshold(_TIDY)
    from firmware.app import VERSION, App

    print("halfstop", VERSION, board.name)
    gc.threshold(_MAKING)
    app = App(board)
    _drop_old(board.disk)
    gc.collect()
    gc.threshold(_NEVER)
    return app


def _go_on(app, board):
    """Step the app for ever. A step for which there is no memory costs the open page; twice, the run."""
    power, clock = board.power, board.clock
    power.watchdog(_WATCHDOG_MS)
    calm = clock.ms() + _CALM_MS
    while True:
        try:
            app.step(clock.ms())
            if calm and clock.ms() >= calm:
                calm = 0
                power.calm()
        except MemoryError:
            if not app.give_way():
                raise


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
