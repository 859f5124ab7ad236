"""The running order of a show: looks and captures in sequence, with their times. Saved in run.json.

stage/running_order_player.py plays it and the Run pages edit it; it is in memory only while one of them is. A step is a
list of six whole numbers:

    WHAT    LOOK or CAPTURE
    NUMBER  of the look, which stays when the look is renamed, or of the capture
    DELAY   ms to wait before the fade
    FADE    ms of the fade, or LOOK_FADE
    HOLD    ms to wait after the fade
    FOLLOW  1: the next step comes by itself after the hold; 0: it waits for the user
"""

from micropython import const

from firmware.show import file_store

MOST = 99
LONGEST_MS = const(600000)
LOOK, CAPTURE = 0, 1
WHAT, NUMBER, DELAY, FADE, HOLD, FOLLOW = range(6)  # the fields of a step
LOOK_FADE = -1  # in place of a fade time: the one that the look has itself
DELETED = "(deleted)"


class RunningOrder:
    """The running order of one show. `steps`: its steps, in order; only to be read. `loop`: after the last step comes
    the first. `faults`: what was damaged, in words."""

    def __init__(self, show):
        self._show = show
        self._path = show.folder + "/run.json"
        data, fault = file_store.load(show.disk, self._path)
        self.faults = [fault] if fault else []
        data = data or {}
        self.steps = data.get("steps", [])
        self.loop = bool(data.get("loop", 0))

    def __len__(self):
        return len(self.steps)

    def name(self, step):
        """What a step brings, in words; DELETED where its look is no longer there."""
        if step[WHAT] == CAPTURE:
            return "Capture %d" % step[NUMBER]
        return self._show.looks.name_of(step[NUMBER]) or DELETED

    def add(self, number, at=None, what=LOOK):
        """Add a look or a capture, by its number, before the place `at` (None: at the end) -> the step. Errors:
        ValueError: there are 99 steps; OSError(ENOSPC): nothing has changed."""
        if len(self.steps) >= MOST:
            raise ValueError("The running order is full: %d steps" % MOST)
        step = [what, number, 0, LOOK_FADE, 0, 0]
        steps = list(self.steps)
        steps.insert(len(steps) if at is None else at, step)
        self._replace(steps)
        return step

    def add_capture(self, number):
        """Add a capture, by its number, at the end. Errors: as add."""
        self.add(number, what=CAPTURE)

    def fill(self, numbers):
        """Add looks, by their numbers, at the end. Errors: as add; then none is added."""
        if len(self.steps) + len(numbers) > MOST:
            raise ValueError("The running order takes %d steps, not %d" % (MOST, len(self.steps) + len(numbers)))
        self._replace(self.steps + [[LOOK, number, 0, LOOK_FADE, 0, 0] for number in numbers])

    def place(self, step):
        """The place of a step in `steps`, 0 and up, or -1 where it is not among them. Two steps that are equal are not
        the same step."""
        for at, other in enumerate(self.steps):
            if other is step:
                return at
        return -1

    def remove(self, step):
        """Take a step out -> the place it had. Errors: OSError(ENOSPC): nothing has changed."""
        at = self.place(step)
        self._replace(self.steps[:at] + self.steps[at + 1:])
        return at

    def put_back(self, step, at):
        """Undo a removal. Errors: as add."""
        self._replace(self.steps[:at] + [step] + self.steps[at:])

    def move(self, step, at):
        """Give a step another place, 0 and up. Errors: OSError(ENOSPC): nothing has changed."""
        steps = [other for other in self.steps if other is not step]
        steps.insert(at, step)
        self._replace(steps)

    def set(self, step, field, value):
        """Set DELAY, FADE or HOLD of a step (0..600,000 ms, and LOOK_FADE for FADE; what is outside goes to the nearest
        of these) or FOLLOW. Errors: OSError(ENOSPC): nothing has changed."""
        old = step[field]
        step[field] = max(LOOK_FADE if field == FADE else 0, min(LONGEST_MS, value))
        try:
            self.save()
        except OSError:
            step[field] = old
            raise

    def set_loop(self, loop):
        """Let the first step come after the last, or not. Errors: OSError(ENOSPC): nothing has changed."""
        old, self.loop = self.loop, bool(loop)
        try:
            self.save()
        except OSError:
            self.loop = old
            raise

    def save(self):
        """Save the running order. Errors: OSError(ENOSPC)."""
        file_store.save(self._show.disk, self._path, {"steps": self.steps, "loop": int(self.loop)})

    def _replace(self, steps):
        """Set and save the steps. Errors: OSError: nothing has changed."""
        old, self.steps = self.steps, steps
        try:
            self.save()
        except OSError:
            self.steps = old
            raise
