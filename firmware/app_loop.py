"""The loop: what the device does in one turn, and what a gesture does. Made by the app.

Order in a step: gestures -> stage -> line -> panel: light before pixels.
"""

import gc
from array import array

from micropython import const

from firmware.parts import once
from firmware.ui.frame.gestures import BACK, BLACK, LOOK, PUSH, Gestures
from firmware.ui.frame.screen import LOCKED, REFUSED

_IDLE_MS = const(10000)  # so long after the last gesture the disk is tidied,
_BATTERY_MS = const(10000)  # between looks at the battery
_CHORE_MS = const(2000)  # one small step every so often
_REST_MS = const(1000)  # so long after the last detent, nobody turns
_COLLECT_MS = const(10000)  # between two collections,
_SPENT_MS = const(3000)  # or so much, where somebody turns: then nearly all of the heap may be used
_FAR_MS = const(1 << 29)  # time that has come so far is moved back
_FLASHES_MS = const(1000)  # flashes are counted over so long (WCAG 2.3.1)
_CHANGES = const(6)  # as many changes of light are three flashes


class Loop:
    """The loop of one app."""

    def __init__(self, app):
        self._app = app
        self.gestures = Gestures(app.board.knob, app.board.keys, app.settings)
        self._battery = 0  # ms: when it is next looked at
        self._chore = _IDLE_MS  # ms: when the next chore may be done
        self._rests = 0  # ms: from then on nobody turns
        self._collected = 0  # ms: when the heap was last collected
        self._used = True  # something was done since the last collection
        self._acted = False  # a gesture of this step may have changed the light, to and fro
        self._changed = array("i", [-_FLASHES_MS] * 12)  # ms: the last times at which a hand changed the light, a ring
        self._act = 0
        self._way = 0  # of the last turn

    # Machine code on the chips.
    def step(self, now):
        """One turn. now: ms of the board's clock."""
        if now >= _FAR_MS:
            now = once("firmware.app_time", "move_back", self._app, now)
        app, stage = self._app, self._app.stage
        app.now = now
        app.board.power.feed()
        self._acted = False
        if self.gestures.poll(now) or self.gestures.down:
            self._wake(now)
            self._work()
            self._used = True
            self._chore = now + _IDLE_MS
            if self.gestures.turned or self.gestures.push_turned:
                self._rests = now + _REST_MS
            stage = app.stage  # a gesture may have opened another show
        if app.player:
            self._play()
        changed = stage.step(now)
        if self._acted and (changed or stage.left()):
            self._count(now)
        if app.feed:
            self._merge(now)
        else:
            if changed:
                app.send(stage.frame)
            if app.machines.listens and app.input.received():
                app.try_to(app.machines.take_feed, False)
        try:
            app.page.step(now)
        except OSError as e:  # what the page reads flash does not give
            app.say(str(e.args[-1]), REFUSED)
            app.open("home")  # it cannot go on
        if self._may_collect(changed):
            gc.collect()  # in place of drawing
            self._collected = now
            self._used = False
            return
        app.screen.step(now, app.page, self._moving())
        self._keep(now)

    def _may_collect(self, sent):
        """True where a collection, which takes 23 ms, is in nobody's way: while all rests, or, where light moves or
        somebody turns, right after it was sent, with the next detent some time away."""
        app = self._app
        since = app.now - self._collected
        if app.now < self._rests:
            return sent and since >= _SPENT_MS and self.gestures.turned
        if since < _COLLECT_MS or not (sent or self._used):
            return False
        if app.stage.left() or app.player and app.player.left():
            return sent
        return self._used and app.screen.done()

    def _count(self, now):
        """A hand changed the light. It is never held back, but where that is over three flashes a second it is said:
        by what the limiter on flashing counts, or, while it is not loaded, by a change for each gesture."""
        acts, effects = self._changed, self._app.stage.effects
        self._act = (self._act + 1) % len(acts)
        acts[self._act] = now
        n = 0
        for at in acts:
            if now - at < _FLASHES_MS:
                n += 1
        if effects and effects.limit:
            n = effects.limit.changes()
        if n > _CHANGES:
            self._app.say("By hand %g flashes a second: over 3" % (n / 2))

    # --- gestures ---

    def _wake(self, now):
        """A gesture lights the screen; on a dark screen it does no more, but for black."""
        g = self.gestures
        if self._app.screen.wake(now) and not g.down >> BLACK & 1:
            g.swallow()

    def _work(self):
        """Let a gesture have its effect. A full disk that a page did not think of must not stop the device."""
        app = self._app
        app.in_gesture = True
        try:
            self._gesture()
            app.in_gesture = False
            app.open_next()
        except OSError as e:
            app.in_gesture = False
            app.refuse_page()
            app.say(str(e.args[-1]), REFUSED)

    def _gesture(self):
        app, g, stage = self._app, self.gestures, self._app.stage
        if not (g.turned or g.push_turned or g.tapped or g.held or g.released or g.foot):
            return
        if g.turned or g.push_turned:
            app.screen.turned(app.now)
            way = g.turned or g.push_turned
            self._acted = way * self._way < 0  # there and back
            self._way = way
        else:
            app.screen.touch(True)
            self._acted = True
        if g.foot:  # a foot in the dark: neither the lock nor a dark screen keeps it
            app.machines.running_order().next()
        if g.tapped >> BLACK & 1:
            stage.blackout = not stage.blackout
        if g.released >> LOOK & 1 and stage.full:
            stage.full = False
        if g.held >> BACK & 1 and app.settings["lock"]:
            app.locked = not app.locked
            app.try_to(app.set_setting, "locked", int(app.locked))
            app.say("Locked. Black works" if app.locked else "Unlocked", LOCKED)
        elif not app.locked:
            self._unlocked(app.page)
        elif g.turned or g.push_turned or g.tapped & ~(1 << BLACK):
            app.say("Locked: hold back", REFUSED)

    def _unlocked(self, page):
        """A gesture that is not locked out: to the page, or to the look key."""
        app, g = self._app, self.gestures
        if g.held >> LOOK & 1:
            app.stage.full = True
        if g.held >> BLACK & 1:
            once("firmware.ui.pages.light.light_solo", "toggle", app)
        if g.turned:
            page.turn(g.turned)
        elif g.push_turned:
            page.push_turn(g.push_turned)
        elif g.tapped >> PUSH & 1:
            offer = app.screen.take_offer(app.now)
            if offer:
                app.try_to(*offer)
            else:
                page.push()
        elif g.held >> PUSH & 1:
            page.hold()
        elif g.tapped >> BACK & 1:
            page.back()
        elif g.tapped >> LOOK & 1:
            app.open("light" if app.page_name == "looks" else "looks")

    # Machine code on the chips.
    def _moving(self):
        """True if the light moved by itself; what a turn of the knob moves, the page draws without delay."""
        g, app = self.gestures, self._app
        return (app.stage.changed and not (g.turned or g.push_turned) or app.stage.left() > 0
                or app.player is not None and app.player.left() > 0)

    # --- machines ---

    def _play(self):
        """Let the running order go on; say what it has to say."""
        app, player = self._app, self._app.player
        player.step(app.stage.time)
        if player.message:
            app.say(player.message, REFUSED)
            player.message = ""

    def _merge(self, now):
        app, feed = self._app, self._app.feed
        word = feed.word()
        if feed.step(now):
            app.send(feed.frame)
        if feed.message:
            once("firmware.ui.pages.feed.feed_news", "tell", app)
        if feed.word() != word:
            app.screen.touch()

    # --- the disk ---

    def _keep(self, now):
        """What the disk has to do: the stage's state, faults found, and in idle moments a small chore."""
        app = self._app
        app.state.step(now, now >= self._rests)
        if now >= self._battery:
            self._battery = now + _BATTERY_MS
            self._look_at_battery(now)
        if app.screen.fault:
            app.log.add(now, app.screen.fault, "panel")
            app.screen.fault = ""
        while app.shelf.faults:
            fault = app.shelf.faults.pop(0)
            app.say(fault)
            app.log.add(now, fault, app.page_name)
        if now >= self._chore and not app.stage.left() and not (app.battery and app.battery.low):
            self._chore = now + _CHORE_MS
            try:
                if not app.shelf.tidy():
                    app.show.looks.prove()
            except OSError as e:
                app.shelf.faults.append("The flash fails: %s" % e.args[-1])

    def _look_at_battery(self, now):
        """Warn early. At the last the screen is dark unless it is used, and no chores are done: what there is goes into
        the line."""
        app = self._app
        warning = app.machines.look_at_battery()
        if warning:
            app.say(warning, REFUSED)
            app.log.add(now, warning, "battery")
        if app.battery and app.battery.low and now >= self._chore:
            app.screen.sleep()
