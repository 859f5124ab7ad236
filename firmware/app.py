"""Puts the layers together on one board: `App(board)`, then `step(now)` as often as the machine can.

main.py (the device), sim/bench.py (tests, the simulator) and sim/vm.py (the MicroPython VM) all run this.
Order in a step: gestures -> stage -> line -> panel: light before pixels.
"""

import gc

from firmware.drop import drop
from firmware.show import keep
from firmware.show.faults import Faults
from firmware.show.shelf import Shelf
from firmware.stage.kept import Kept
from firmware.stage.stage import Stage
from firmware.ui import settings
from firmware.ui.canvas import Canvas
from firmware.ui.gestures import BACK, BLACK, LOOK, PUSH, Gestures
from firmware.ui.screen import LOCKED, REFUSED, SAVED, Screen

VERSION = "0.1.0"
_UNDO_MOST = 3
_FEED = ("feed", "feed_counts", "feed_lost", "record", "captures", "capture", "play")  # pages that load its code
_IDLE_MS = 10000  # so long after the last gesture the disk is tidied,
_GLANCE_MS = 10000  # between looks at the battery
_CHORE_MS = 2000  # one small step every so often


class App:
    """The device. `stage`, `show`: what it does and keeps. `page`: the page that is open. `shelf`: all shows;
    `log`: the faults; `kit`: the settings."""

    version = VERSION

    def __init__(self, board):
        self.board = board
        held = board.lines[0].held()
        if held:
            board.lines[0].send(held)
        self.canvas = Canvas(board.panel)  # early: its fonts are the largest pieces that memory must find room for
        self.kept = {}  # small things that pages remember from one opening to the next
        self.locked = False
        self.undo = []  # (what it undoes, verb, arguments), the last loss at the end
        self.player = None  # of the running order, while it is in use
        self.supply = None  # of the battery, while the device runs on one
        self._glance = 0  # when it is next looked at
        self.now = board.clock.ms()  # ms, of the step
        self.shelf = Shelf(board.disk)
        self.log = Faults(board.disk)
        self.kit, fault = settings.load(board.disk)
        self.shelf.faults += [fault] if fault else []
        self.screen = Screen(self.canvas, board, self.kit)
        self.feed = None  # stage/feed.py, once a feed came in or is wanted
        self.input = board.lines[1] if len(board.lines) > 1 and board.lines[1].has_input else None
        self._take(self.shelf.open(), held)
        if self.input:
            self.input.drive = False
        self._chore = _IDLE_MS
        self.gestures = Gestures(board.knob, board.keys, self.kit)
        self._module = None
        self.page = None
        self._next = None  # the page to open: module, arguments
        self._busy = False  # in a gesture
        self.open("light")

    def step(self, now):
        """One turn of the loop. now: ms since power-up."""
        self.now = now
        self.board.power.feed()
        if self.gestures.poll(now) or self.gestures.down:
            self._wake(self.gestures, now)
            self._work(self.gestures)
            self._chore = now + _IDLE_MS
        if self.player:
            self._play()
        changed = self.stage.step(now)
        if self.feed:
            self._merge(now)
        else:
            if changed:
                self.board.lines[0].send(self.stage.frame)
            if self.heeds and self.input.received():
                self.try_to(self.intake, "take", False)
        self.page.step(now)
        self.screen.step(now, self.page, self._moving())
        self._keep(now)

    # --- for the pages ---

    def open_show(self, ident):
        """Open another show. Its light is that of its last state if it was the last on, else none.
        Errors: ValueError: no such show; OSError."""
        self._take(self.shelf.open(ident))
        self.kept.clear()
        self.open("light")

    def open(self, module, *args):
        """Open a page by the name of its module in firmware/ui; the page before is dropped, code and all. In a gesture
        that waits until the old page has let go."""
        self._next = module, args
        if not self._busy:
            self._turn_page()

    def _turn_page(self):
        (module, args), self._next = self._next, None
        if self.page:
            self.page.close()
            self.canvas.rest()
            uses, self.page = self.page.uses, None
            if module != self._module:
                if self._module in _FEED and module not in _FEED:
                    self.intake("leave")
                for name in (self._module,) + uses:
                    drop("firmware." + name if "." in name else "firmware.ui." + name)
        gc.collect()  # the new page then fits into what the old one leaves
        self._module = module
        self._rest(module)
        try:
            self.page = __import__("firmware.ui." + module, None, None, ("Page",)).Page(self, *args)
        except (MemoryError, ValueError) as e:
            self.say("No memory left for that page" if isinstance(e, MemoryError) else str(e.args[-1]), REFUSED)
            self.open("home")
            return
        self.screen.touch(True)

    def say(self, words, tone=None):
        """Show a message at the foot of the page for some seconds."""
        if words:
            self.screen.say(self.now, words)
        if tone and self.kit["sound"]:
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
        """Something was just lost or replaced, and verb(*args) brings it back. what: "Key removed"."""
        self.undo.append((what, verb, args))
        del self.undo[:-_UNDO_MOST]

    def undo_last(self):
        """Take the last loss back."""
        if self.undo:
            what, verb, args = self.undo.pop()
            self.try_to(verb, *args, said="Undone: " + what)

    def set_kit(self, key, value):
        """Change a setting and keep it. Errors: OSError(ENOSPC): it holds until power-down."""
        self.kit[key] = value
        settings.save(self.board.disk, self.kit)

    def change_rig(self, verb, *args):
        """Call a verb that changes the rig, and keep the rig. Errors: the verb's, and the disk's."""
        try:
            verb(*args)
            self.show.save_rig()
        finally:  # refused: what would have made the change goes all the same
            drop("firmware.show.patching")

    def intake(self, verb, *args):
        """Call a function of ui/intake.py, which is loaded for it: take, leave, lend, attach."""
        done = getattr(__import__("firmware.ui.intake", None, None, (verb,)), verb)(self, *args)
        drop("firmware.ui.intake")
        return done

    def running(self):
        """The player of the running order; its code comes with it."""
        if self.player is None:
            from firmware.show.order import Order
            from firmware.stage.run import Player

            order = Order(self.show)
            self.shelf.faults += order.faults
            self.player = Player(self.stage, order, lambda number: self.intake("play", number))
        return self.player

    def stop_running(self):
        """Stop the running order and drop its code."""
        self.player = None
        drop("firmware.stage.run")
        drop("firmware.show.order")

    def effects(self):
        """The effects of the show; their code comes with them."""
        if self.stage.effects is None:
            from firmware.stage.effects import Effects

            self.stage.effects = Effects(self.stage)
            self.stage.effects.limit.on = not self.kept.get("flashing")
            self.shelf.faults += self.stage.effects.faults
        return self.stage.effects

    # --- inside ---

    def _resume_effects(self):
        """Those that were on at power-down come back; only then is their code loaded."""
        data, _why = keep.read(self.show.disk, self.show.folder + "/effects.json")
        for effect in (data or {}).get("effects", ()):
            if isinstance(effect, list) and effect[-1:] == [1]:
                self.shelf.faults += self.effects().resume(self.now)
                return

    def _rest(self, module):
        """Drop the code of what is not in use, now that a page is opened."""
        if self.player and not self.player.phase and not module.startswith("run"):
            self.stop_running()
        if self.stage.effects and not self.stage.effects.running and not module.startswith("effect"):
            self.stage.effects = None
            for name in ("stage.effects", "stage.models", "stage.limiter", "show.effect"):
                drop("firmware." + name)

    def _take(self, show, held=None):
        """Make a show the one that is on: first the light, then what takes longer. held: what the line shows after a
        restart; where that is not the pocket's own light there is a feed, and it fades back in from there."""
        self.undo = []
        self.stop_running()
        self.show = show
        self.stage = Stage(show)
        self.heeds = self.input is not None  # what comes in loads the feed's code
        self.shelf.faults += self.stage.faults
        self.keeping = Kept(self.board.disk, self.stage, self.shelf.faults)
        if not self.shelf.settings["dark"]:
            self.keeping.load(self.now)
        self.stage.step(self.now)
        if held and self.input and held != bytes(self.stage.frame[:len(held)]):
            self.try_to(self.intake, "take", False, held)
        elif self.feed:
            self.intake("attach")
        if not self.feed:
            self.board.lines[0].send(self.stage.frame)
        show.looks.load()
        if not self.shelf.settings["dark"]:
            self._resume_effects()

    def _merge(self, now):
        feed = self.feed
        if feed.step(now):
            self.board.lines[0].send(feed.frame)
        if feed.note:
            self.say(feed.note)
            if feed.state == 2:  # lost
                self.log.add(now, feed.note, "feed")
            feed.note = ""

    def _keep(self, now):
        """What the disk has to do: the stage's state, faults found, and in idle moments a small chore."""
        self.keeping.step(now)
        if now >= self._glance:
            self._glance = now + _GLANCE_MS
            self._look_at_battery(now)
        while self.shelf.faults:
            fault = self.shelf.faults.pop(0)
            self.say(fault)
            self.log.add(now, fault, self._module)
        if now >= self._chore and not self.stage.left() and not (self.supply and self.supply.low):
            self._chore = now + _CHORE_MS
            if not self.shelf.tidy():
                self.show.looks.prove()

    def _look_at_battery(self, now):
        """Warn early. At the last the screen is dark unless it is used, and no chores are done: what there is goes into
        the line."""
        power = self.board.power
        mv = power.battery_mv()
        if mv is None or power.usb():
            if self.supply:
                self.supply = None
                drop("firmware.stage.supply")
            return
        if self.supply is None:
            from firmware.stage.supply import Supply

            self.supply = Supply()
        said = self.supply.step(now, mv)
        if said:
            self.say(said, REFUSED)
            self.log.add(now, said, "battery")
        if self.supply.low and now >= self._chore:
            self.screen.sleep()

    def _moving(self):
        """True if the light moved by itself; what a turn of the knob moves, the page draws without delay."""
        g, stage = self.gestures, self.stage
        return (stage.changed and not (g.turned or g.push_turned) or stage.left() > 0
                or self.player is not None and self.player.left() > 0)

    def _play(self):
        """Let the running order go on; say what it has to say."""
        player = self.player
        player.step(self.stage.time)
        if player.said:
            self.say(player.said, REFUSED)
            player.said = ""

    def _wake(self, g, now):
        """A gesture lights the screen; on a dark screen it does no more, but for black."""
        if self.screen.wake(now) and not g.down >> BLACK & 1:
            g.swallow()

    def _work(self, g):
        """Let a gesture have its effect. A full disk that a page did not think of must not stop the device."""
        self._busy = True
        try:
            self._gesture(g)
            self._busy = False
            if self._next:
                self._turn_page()
        except OSError as e:
            self._busy = False
            if self.page is None:
                self.open("home")
            self.say(str(e.args[-1]), REFUSED)

    def _gesture(self, g):
        stage = self.stage
        if not (g.turned or g.push_turned or g.tapped or g.held or g.released or g.foot):
            return
        if g.turned or g.push_turned:
            self.screen.turned()
        else:
            self.screen.touch(True)
        if g.foot:  # a foot in the dark: neither the lock nor a dark screen keeps it
            self.running().next()
        if g.tapped >> BLACK & 1:
            stage.blackout = not stage.blackout
        if g.released >> LOOK & 1 and stage.full:
            stage.full = False
        if g.held >> BACK & 1 and self.kit["lock"]:
            self.locked = not self.locked
            self.say("Locked. Blackout still works" if self.locked else "Unlocked", LOCKED)
        elif not self.locked:
            self._free(g, self.page)
        elif g.turned or g.push_turned or g.tapped & ~(1 << BLACK):
            self.say("Locked: hold back to unlock", REFUSED)

    def _free(self, g, page):
        """A gesture that is not locked out: to the page, or to the look key."""
        if g.held >> LOOK & 1:
            self.stage.full = True
        if g.turned:
            page.turn(g.turned)
        elif g.push_turned:
            page.push_turn(g.push_turned)
        elif g.tapped >> PUSH & 1:
            page.push()
        elif g.held >> PUSH & 1:
            page.hold()
        elif g.tapped >> BACK & 1:
            page.back()
        elif g.tapped >> LOOK & 1:
            self.open("looks")
