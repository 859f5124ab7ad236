"""Plays the running order: the next step, a jump, stop; delay, fade, hold and follow-on in the stage's own time.

Made by the app when it is first needed, dropped with its code when it is stopped and its pages are left. Every step
starts from the light that is on; a jump never goes through black, and fades for a second at least.
"""

from micropython import const

from firmware.show.look_record import SOFT
from firmware.show.running_order import (
    CAPTURE,
    DELAY,
    DELETED,
    FADE,
    FOLLOW,
    HOLD,
    LOOK_FADE,
    NUMBER,
    WHAT,
    RunningOrder,
)
from firmware.stage import patch_fields as fields
from firmware.stage.look_ahead import LookAhead

# Phases: stopped or not begun; in the delay, the fade or the hold of a step; until the user calls the next.
OFF, WAITS, FADES, HOLDS, READY = range(5)
WORDS = ("stopped", "delay", "fade", "hold", "ready")
_JUMP_MS = const(1000)  # the shortest fade of a jump
# Steps that come by themselves are at least so far apart: three changes a second are at most one and a half
# flashes (WCAG 2.3.1 allows three). A fade between colours may be bright, dark and bright again on its way.
_MIN_MS = const(334)
_COLOURS_MS = const(1000)


class OrderPlayer:
    """The running order as it is played. `order`: the steps; `current`: the step that is on, None before the first;
    `phase`: see above; `message`: news in words, until the app has shown it."""

    def __init__(self, stage, capture=None):
        """capture: a function that plays a capture by its number and returns the ms that it lasts; 0 ends the one that
        plays. Its ValueError says why it cannot. None: there are no captures here."""
        self.order = RunningOrder(stage.show)
        self.current = None
        self.phase = OFF
        self.message = ""
        self._stage = stage
        self._ahead = LookAhead(stage)
        self._capture = capture
        self._capture_plays = False  # one that a step began
        self._place = -1  # of `current`, for when that is removed
        self._end = 0  # of the phase, ms of the stage's time
        self._began = 0  # the step, ms of the stage's time
        self._least = _MIN_MS  # of the step
        self._has_begun = False  # a step, since it was made
        self._find()

    def rests(self):
        """True where nobody would miss it: it is stopped, or has only found where it stands."""
        return not self.phase or self.phase == READY and not self._has_begun

    def place(self):
        """The place of the current step, or -1 before the first. Where the step has been removed, the one before it
        becomes the current."""
        if self.current is not None:
            at = self.order.place(self.current)
            if at >= 0:
                self._place = at
            else:
                self._place = min(self._place, len(self.order)) - 1
                self.current = self.order.steps[self._place] if self._place >= 0 else None
        return self._place

    def following(self):
        """The place of the step that comes next, or None at the end."""
        at = self.place() + 1
        if at < len(self.order):
            return at
        return 0 if self.order.loop and len(self.order) else None

    def left(self):
        """Milliseconds until the phase ends; 0 where it has no end."""
        return max(0, self._end - self._stage.time) if self.phase in (WAITS, FADES, HOLDS) else 0

    def words(self):
        """What goes on, and for how long: "3 fade 4.2 s"."""
        left = self.left()
        if not left:
            return "%d %s" % (self.place() + 1, WORDS[self.phase])
        return "%d %s %d.%d s" % (self.place() + 1, WORDS[self.phase], left // 1000, left % 1000 // 100)

    def next(self):
        """Go on: in a delay the fade begins now, else the next step does."""
        if self.phase == WAITS:
            self._light(self.place(), 0)
            return
        at = self.following()
        if at is None:
            self.message = "End of the running order" if len(self.order) else "The running order is empty: add looks"
            return
        self._begin(at)

    def jump(self, at):
        """Go straight to the step at a place, with the light that the steps before it would have left."""
        self._light(at, _JUMP_MS)

    def stop(self):
        """Stop: no step comes by itself any more. A fade goes on to its end, and the light stays."""
        self.phase = OFF

    def step(self, now):
        """Go on where a phase has ended, and get ready for what comes next. now: the stage's time, ms."""
        self._ahead.step(self._next_cut())
        if self.phase in (OFF, READY) or now < self._end:
            return
        if self.phase == WAITS:
            self._light(self.place(), 0)
        elif self.phase == FADES and self.current:
            self.phase, self._end = HOLDS, now + self.current[HOLD]
        elif not (self.current and self.current[FOLLOW]) or self.following() is None:
            self.phase = READY
        elif now - self._began >= self._least and self._has_room():
            self.next()

    def _has_room(self):
        """True where a step may come by itself: effects leave it room under the limit on flashing."""
        effects = self._stage.effects
        return not effects or not effects.limit or effects.limit.may_step()

    def _next_cut(self):
        """The step that comes next, where that may be a cut; else None."""
        at = self.place() if self.phase == WAITS else self.following()
        step = None if at is None else self.order.steps[at]
        return step if step and step[WHAT] != CAPTURE and step[FADE] in (0, LOOK_FADE) else None

    def _find(self):
        """After power-up, or when the page is opened: take the first step with the look that is on as the current."""
        for at, step in enumerate(self.order.steps):
            if step[WHAT] != CAPTURE and step[NUMBER] == self._stage.look_number:
                self.current, self._place, self.phase = step, at, READY
                return

    def _begin(self, at):
        step = self.order.steps[at]
        self._has_begun = True
        if step[DELAY]:
            self.current, self._place = step, at
            self.phase, self._end = WAITS, self._stage.time + step[DELAY]
        else:
            self._light(at, 0)

    def _light(self, at, least):
        """Fade to a step's light in `least` ms or more. A step that cannot be played is named in `message`, and the
        next takes its place."""
        self._has_begun = True
        for _ in range(len(self.order)):
            step = self.order.steps[at]
            self.current, self._place = step, at
            self._began = self._stage.time
            try:
                self.phase, self._end = FADES, self._began + self._bring(at, step, least)
                return
            except ValueError as e:
                self.message = "Step %d passed: %s" % (at + 1, e.args[-1])
            at = self.following()
            if at is None:
                break
        self.phase = READY

    def _bring(self, at, step, least):
        """Begin a step -> the ms that it takes. Errors: ValueError: it cannot be played."""
        self._least = _MIN_MS
        if step[WHAT] == CAPTURE:
            if self._capture is None:
                raise ValueError("captures cannot be played here")
            length = self._capture(step[NUMBER])
            self._capture_plays = True
            return length
        if self._capture_plays:
            self._capture_plays = False
            self._capture(0)
        looks = self._stage.show.looks
        if self.order.name(step) == DELETED:
            raise ValueError("its look was deleted")
        lights, its_fade = looks.recall(looks.name_of(step[NUMBER]))
        soft = its_fade & SOFT
        length = max(least, its_fade - soft if step[FADE] == LOOK_FADE else step[FADE])
        if least:
            self._add_earlier(at, lights)
        self._stage.fade_to(lights, length and length + soft, None if length else self._ahead.ends(lights))
        if length and _changes_colour(self._stage.patch):
            self._least = _COLOURS_MS
        self._stage.look_number = step[NUMBER]
        return self._stage.left()

    def _add_earlier(self, at, lights):
        """Add the light that earlier steps would have left on the fixtures that this step's look does not cover."""
        looks, uids = self._stage.show.looks, [f.uid for f in self._stage.show.rig.fixtures]
        while at > 0 and any(uid not in lights for uid in uids):
            at -= 1
            step = self.order.steps[at]
            if step[WHAT] != CAPTURE and self.order.name(step) != DELETED:
                for uid, light in looks.recall(looks.name_of(step[NUMBER]))[0].items():
                    lights.setdefault(uid, light)


def _changes_colour(patch):
    """True where a fixture is on its way to another white or colour."""
    setups = patch.setups
    for i in range(patch.common[fields.N_FIXTURES]):
        h = i * fields.SETUP + fields.LIGHT_FROM
        if patch.fades[i * fields.FADE + fields.LENGTH] and setups[h:h + 5] != setups[h + 5:h + 10]:
            return True
    return False
