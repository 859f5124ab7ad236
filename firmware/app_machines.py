"""The machines that come and go with their code: the running order's player, the effects, the feed with its recorder
and player, the battery's gauge. Made by the app; each is loaded when it is first needed and dropped when it rests.

Pages that work with one say so in ui/pages/table.py: it is there before the page is, and stays until after it.
"""

from firmware.parts import Part, once
from firmware.show import file_store


class Machines:
    """`listens`: what comes in loads the feed's code, where the show takes feeds over."""

    def __init__(self, app):
        self._app = app
        self._parts = {}  # machine: its Part
        self._needed = ""  # by the page that is open
        self._lingers = False  # the feed still fades, and rests after that
        self.listens = False

    # --- what a page needs ---

    def need(self, machine):
        """A page is opened: have its machine ready: "order", "effects", "feed"; "" is none. Errors: ValueError: no
        memory for it."""
        self._needed = machine
        if machine == "order":
            self.running_order()
        elif machine == "effects":
            self.effects()
            wanted = self._app.remembered.pop("put on", None)
            if wanted:
                once("firmware.ui.pages.effects.effects_start", "start", self._app, *wanted)
        elif machine == "feed":
            self.take_feed()

    def close_idle(self, needed):
        """A page is left: drop the machines that rest, but for the one that the next page needs. The feed rests only
        once its pages were open: after a restart it may be there before its first packet."""
        app = self._app
        if app.player and app.player.rests() and needed != "order":
            self.stop_running_order()
        effects = app.stage.effects
        if effects and not effects.running and needed != "effects":
            self._stop_effects()
        if app.feed and (self._needed == "feed" or self._lingers) and needed != "feed":
            self._lingers = once("firmware.app_feed", "rest", app)

    # --- the running order ---

    def running_order(self):
        """The player of the running order."""
        app = self._app
        if app.player is None:
            part = Part("firmware.stage.running_order_player")
            app.player = self.made("order", part, "OrderPlayer", app.stage, self._play_capture)
            app.shelf.faults += app.player.order.faults
        return app.player

    def stop_running_order(self):
        """Stop the running order."""
        self._app.player = None
        self.close("order")

    def _play_capture(self, number):
        return once("firmware.ui.pages.feed.feed_control", "play", self._app, number)

    # --- the effects ---

    def effects(self):
        """The effects of the show."""
        app = self._app
        if app.stage.effects is None:
            app.stage.effects = self.made("effects", Part("firmware.stage.effects"), "Effects", app.stage)
            app.stage.effects.limited = not app.remembered.get("flashing")
            app.shelf.faults += app.stage.effects.faults
        return app.stage.effects

    def resume_effects(self):
        """Those that were on at power-down come back; only then is their code loaded."""
        app = self._app
        data, _why = file_store.read(app.show.disk, app.show.folder + "/effects.json")
        found = (data or {}).get("effects")
        for effect in found if isinstance(found, list) else ():
            if isinstance(effect, list) and effect[-1:] == [1]:
                app.shelf.faults += self.effects().resume(app.now)
                return

    def _stop_effects(self):
        if "effects" in self._parts:  # at power-up there is no stage yet
            self._app.stage.effects.close()
            self._app.stage.effects = None
            self.close("effects")

    # --- the feed ---

    def take_feed(self, wanted=True, held=None):
        """Load the feed if it is not loaded -> Feed. wanted False: only if the show takes feeds over, else None, and
        what comes in is left alone from now on. held: slots that are on the line, to fade from. Errors: ValueError: no
        memory.
        """
        if self._app.feed is None:
            self.listens = False  # until it is loaded, or for good
            try:
                once("firmware.app_feed", "take", self._app, wanted, held)
            except MemoryError:
                raise ValueError("The feed is left alone: no memory for it") from None
        return self._app.feed

    def capture_recorder(self, *args):
        """A CaptureRecorder; its code stays until tidy_captures. Errors: MemoryError."""
        return self.made("recorder", Part("firmware.stage.capture_recorder"), "CaptureRecorder", *args)

    def capture_player(self, *args):
        """A CapturePlayer; its code stays until tidy_captures. Errors: ValueError, OSError, MemoryError."""
        return self.made("player", Part("firmware.stage.capture_player"), "CapturePlayer", *args)

    def tidy_captures(self):
        """Drop the captures' code where none is recorded or played. What records and what plays have code in common, so
        it goes at once."""
        if not (self._app.feed.recorder or self._app.feed.player):
            self.close("recorder")
            self.close("player")

    # --- another show ---

    def close_show(self):
        """The show that is on gives way to another; the feed goes on."""
        self.stop_running_order()
        self._stop_effects()

    def open_show(self, held):
        """A show and its stage are there. held: as App takes it."""
        app = self._app
        self.listens = app.input is not None
        if held and app.input and held != bytes(app.stage.frame[:len(held)]):
            app.try_to(self.take_feed, False, held)
        elif app.feed:
            once("firmware.app_feed", "attach", app)

    # --- the battery ---

    def look_at_battery(self):
        """-> a warning in words, or "". The gauge is there while the device runs on its battery."""
        app, power = self._app, self._app.board.power
        mv = power.battery_mv()
        if mv is None or power.usb():
            app.battery = None
            self.close("battery")
            return ""
        if app.battery is None:
            app.battery = self.made("battery", Part("firmware.battery"), "Battery")
        return app.battery.step(app.now, mv)

    def made(self, machine, part, verb, *args):
        """Make a machine; where that fails its part is closed. One of the same code that was there gives way to it."""
        made = part.make(verb, *args)
        self.close(machine)
        self._parts[machine] = part
        return made

    def close(self, machine):
        """Drop a machine's code, if it is loaded."""
        part = self._parts.pop(machine, None)
        if part:
            part.close()
