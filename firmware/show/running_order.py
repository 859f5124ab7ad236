"""The running order of a show: looks and captures in sequence, with their times. Kept in run.json.

Read by stage/running_order_player.py, which plays it, and by the pages; in memory only while one of them is. A step is
a list [what, number, delay_ms, fade_ms, hold_ms, follow]: `what` LOOK or CAPTURE, the look's number (it stays when the
look is renamed) or the capture's; fade_ms -1: the look's own time; follow 1: the next step comes by itself after the
hold.
"""

from micropython import const

from firmware.show import file_store

MOST = 99
LONGEST_MS = const(600000)
LOOK, CAPTURE = 0, 1
WHAT, NUMBER, DELAY, FADE, HOLD, FOLLOW = range(6)
OWN = -1  # fade_ms: the look's own time
GONE = "(deleted)"


class RunningOrder:
    """`steps`: the live list, to be read. `loop`: after the last step comes the first. `faults`: damage, in words."""

    def __init__(self, show):
        self._show = show
        self._path = show.folder + "/run.json"
        data, fault = file_store.load(show.disk, self._path)
        self.faults = [fault] if fault else []
        data = data or {}
        found = data.get("steps", [])
        self.steps = [step for step in found if sound(step)][:MOST]
        self.loop = bool(data.get("loop", 0))
        if len(self.steps) < len(found):
            self.faults.append("Running order: %d steps left out" % (len(found) - len(self.steps)))

    def __len__(self):
        return len(self.steps)

    def name(self, step):
        """What a step brings, in words; GONE where its look was deleted."""
        if step[WHAT] == CAPTURE:
            return "Capture %d" % step[NUMBER]
        return self._show.looks.name_of(step[NUMBER]) or GONE

    def add(self, number, at=None, what=LOOK):
        """Put in a look or a capture, by its number, before place `at` (None: at the end) -> the step.
        Errors: ValueError: full; OSError(ENOSPC): nothing changed."""
        if len(self.steps) >= MOST:
            raise ValueError("The running order is full: %d steps" % MOST)
        step = [what, number, 0, OWN, 0, 0]
        steps = list(self.steps)
        steps.insert(len(steps) if at is None else at, step)
        self._take(steps)
        return step

    def add_capture(self, number):
        """Put in a capture, by its number, at the end. Errors: as add."""
        self.add(number, what=CAPTURE)

    def fill(self, numbers):
        """Put looks in at the end, by their numbers. Errors: as add: none is in."""
        if len(self.steps) + len(numbers) > MOST:
            raise ValueError("The running order takes %d steps, not %d" % (MOST, len(self.steps) + len(numbers)))
        self._take(self.steps + [[LOOK, number, 0, OWN, 0, 0] for number in numbers])

    def place(self, step):
        """Where a step of `steps` stands, 0 and up; -1: it is not among them. Steps that read the same are not the
        same step."""
        for at, other in enumerate(self.steps):
            if other is step:
                return at
        return -1

    def remove(self, step):
        """Take a step out -> its place. Errors: OSError(ENOSPC): nothing changed."""
        at = self.place(step)
        self._take(self.steps[:at] + self.steps[at + 1:])
        return at

    def put_back(self, step, at):
        """Undo of remove. Errors: as add."""
        self._take(self.steps[:at] + [step] + self.steps[at:])

    def move(self, step, at):
        """Give a step another place, 0-based. Errors: OSError(ENOSPC): nothing changed."""
        steps = [other for other in self.steps if other is not step]
        steps.insert(at, step)
        self._take(steps)

    def set(self, step, field, value):
        """Change a time (ms, held to 0..600 s; OWN for the fade) or `follow`. Errors: OSError(ENOSPC)."""
        was = step[field]
        step[field] = max(OWN if field == FADE else 0, min(LONGEST_MS, value))
        try:
            self.save()
        except OSError:
            step[field] = was
            raise

    def set_loop(self, loop):
        """Errors: OSError(ENOSPC): nothing changed."""
        was, self.loop = self.loop, bool(loop)
        try:
            self.save()
        except OSError:
            self.loop = was
            raise

    def save(self):
        """Keep it. Errors: OSError(ENOSPC)."""
        file_store.save(self._show.disk, self._path, {"steps": self.steps, "loop": int(self.loop)})

    def _take(self, steps):
        """Keep other steps, then take them; where they cannot be kept all is as before."""
        was, self.steps = self.steps, steps
        try:
            self.save()
        except OSError:
            self.steps = was
            raise


def sound(step):
    """True for a list of six whole numbers within their ranges."""
    return (isinstance(step, list) and len(step) == 6 and all(isinstance(v, int) for v in step)
            and step[WHAT] in (LOOK, CAPTURE) and OWN <= step[FADE] <= LONGEST_MS
            and all(0 <= step[k] <= LONGEST_MS for k in (DELAY, HOLD)))
