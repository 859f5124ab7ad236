"""The device: puts the layers together on one board, and serves the pages: `App(board)`, then `step(now)` as often as
the machine can.

main.py (the device), sim/bench.py (tests, the simulator) and sim/vm.py (the MicroPython VM) all run this. The loop and
its gestures are in app_loop.py, the machines that come and go in app_machines.py.
"""

import gc

from firmware.app_loop import Loop
from firmware.app_machines import Machines
from firmware.parts import Part, once
from firmware.show.fault_log import FaultLog
from firmware.show.shelf import Shelf
from firmware.stage.stage import Stage
from firmware.stage.state_write import StateWriter
from firmware.ui.frame.canvas import Canvas
from firmware.ui.frame.screen import REFUSED, SAVED, Screen
from firmware.universe import SLOTS

VERSION = "0.1.0"
_UNDO_MOST = 3
_GIVES_WAY_MS = 10000  # between two pages that are dropped for want of memory


class App:
    """The device. `stage`, `show`: what it does and keeps. `page`: the page that is open. `shelf`: all shows; `log`:
    the faults; `settings`: those of the device; `now`: ms, of the step. `player`, `feed`, `battery`: machines that are
    in use, or None (app_machines.py); the effects are the stage's. `universes`: how many it sends; `out`: what takes
    frames."""

    version = VERSION

    def __init__(self, board):
        self.board = board
        self.universes = getattr(board, "outs", 1)
        self.out, self._slots = board.lines[0], SLOTS if self.universes == 1 else 0
        held = board.lines[0].held()
        self.canvas = Canvas(board.panel)  # early: its fonts are the largest pieces that memory must find room for
        self.remembered = {}  # small things that pages remember from one opening to the next
        self.gave_way = -_GIVES_WAY_MS  # ms: when a page was last dropped for want of memory
        self.undo = []  # (what it undoes, verb, arguments), the last loss at the end
        self.now = board.clock.ms()
        self.shelf = Shelf(board.disk, getattr(board, "lamps", None))
        self.log = FaultLog(board.disk)
        self.settings, fault = once("firmware.show.device_settings", "load", board.disk)
        self.shelf.faults += [fault] if fault else []
        self.locked = bool(self.settings["lock"] and self.settings["locked"])
        self.screen = Screen(self.canvas, board, self.settings)
        self.player = self.feed = self.battery = self.stage = None
        self.input = once("firmware.feed_sources", "of_board", self)
        self.machines = Machines(self)
        self.page = None
        self._page_part = None
        self.page_name = ""
        self._next = None  # the page to open: its name and arguments
        self.in_gesture = False
        self._open_show(self.shelf.open(), held)
        self.loop = Loop(self)
        self.gestures = self.loop.gestures
        self.open("light")
        once("firmware.feed_sources", "begin", self)

    def send(self, frame):
        """Put a frame on the line, or, of two universes, on the lines."""
        if len(frame) != self._slots:
            self._slots = len(frame)
            once("firmware.app_ports", "fit", self, self._slots)
        self.out.send(frame)

    def step(self, now):
        """One turn of the loop. now: ms since power-up."""
        self.loop.step(now)

    def give_way(self):
        """A step found no memory: drop the page that is open. False: that was done in the last seconds, or the smallest
        page is open, so that it cannot help."""
        small = self.page_name == "home" or self.now - self.gave_way < _GIVES_WAY_MS
        self.gave_way = self.now
        if small:
            return False
        self.in_gesture = False
        self._next = None
        self.undo = []
        page = self.page_name
        self.say("No memory left for that page", REFUSED)
        self.open("home")
        self.log.add(self.now, "No memory left", page)  # only now there is memory to write it
        return True

    # --- for the pages ---

    def open(self, name, *args):
        """Open a page by its name in ui/pages/table.py; the page before is dropped, code and all. In a gesture that
        waits until the old page has let go."""
        self._next = name, args
        if not self.in_gesture:
            self.open_next()

    def say(self, words, tone=None, *offer):
        """Show a message at the foot of the page for some seconds. offer: verb, arguments that a push does while it
        stands; as of can_undo, no code of the page."""
        if words:
            self.screen.say(self.now, words, offer)
        if tone and self.settings["sound"]:
            self.board.buzzer.tone(*tone)

    def try_to(self, verb, *args, said=""):
        """Call a verb that may refuse; say why if it does, else `said`. Returns True if it was done."""
        try:
            verb(*args)
        except (ValueError, OSError) as e:
            self.say(str(e.args[-1]), REFUSED)
            return False
        self.say(said, SAVED if said else None)
        return True

    def can_undo(self, what, verb, *args):
        """Something was just lost or replaced, and verb(*args) brings it back. what: "removing Key". verb must hold no
        code of the page: it is `once`, followed by the names of a module and its function."""
        self.undo.append((what, verb, args))
        del self.undo[:-_UNDO_MOST]

    def undo_last(self):
        """Take the last loss back."""
        if self.undo:
            what, verb, args = self.undo.pop()
            self.try_to(verb, *args, said="Undone: " + what)

    def set_setting(self, key, value):
        """Change a setting and keep it. Errors: OSError(ENOSPC): it holds until power-down."""
        self.settings[key] = value
        once("firmware.show.device_settings", "save", self.board.disk, self.settings)

    def open_show(self, ident):
        """Open another show. Its light is that of its last state if it was the last on, else none.
        Errors: ValueError: no such show; OSError."""
        self._open_show(self.shelf.open(ident))
        self.remembered.clear()
        self.open("light")

    # --- inside ---

    def open_next(self):
        """Open the page that was asked for in the gesture that has just ended, if one was."""
        if self._next is None:
            return
        (name, args), self._next = self._next, None
        self._close_page()
        try:
            module, machine = once("firmware.ui.pages.table", "find", name)
            self.machines.close_idle(machine)
            gc.collect()  # the new page then fits into what the old one leaves
            self.machines.need(machine)
            self._page_part = Part(module)
            self.page_name = name
            self.page = self._page_part.make("Page", self, *args)
        except (MemoryError, ValueError) as e:
            if name == "home":  # there is nothing left to fall back on
                raise
            self.say("No memory left for that page" if isinstance(e, MemoryError) else str(e.args[-1]), REFUSED)
            self.open("home")
            return
        self.screen.touch(True)

    def refuse_page(self):
        """A gesture failed: the page that it asked for is not opened."""
        self._next = None
        if self.page is None:
            self.open("home")

    def _close_page(self):
        if self.page:
            self.page.close()
            self.canvas.rest()
            self.page = None
        if self._page_part:
            self._page_part.close()
            self._page_part = None

    def _open_show(self, show, held=None):
        """Make a show the one that is on: first the light, then what takes longer. held: what the line shows after a
        restart; where that is not the pocket's own light there is a feed, and it fades back in from there."""
        self.undo = []
        self.machines.close_show()
        if self.stage:
            self.stage.close()
            self.state.close()
        self.show = show
        show.rig.universes = self.universes
        self.stage = Stage(show, True)
        self.shelf.faults += self.stage.faults
        self.state = StateWriter(self.board.disk, self.stage, self.shelf.faults)
        if not self.shelf.settings["dark"]:
            # After a restart fades go on, but for those whose end is on the line already: the state may be older.
            on = held and held != once("firmware.first_light", "light", self.board.disk)
            once("firmware.stage.state_read", "read", self.state, self.now, bool(on))
        self.stage.finish()
        self.stage.step(self.now)
        self.machines.open_show(held)
        if not self.feed:
            self.send(self.stage.frame)
        show.looks.load()
        if not self.shelf.settings["dark"]:
            self.machines.resume_effects()
