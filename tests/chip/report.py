"""What the checks found: those of correctness hold or fail; figures stand beside their goals."""

from tests.chip.figures import FIGURES


class Report:
    """lines: what to print; failed: how many checks failed; figures: {(key, board, show): value}, the worst where a
    figure was taken more than once."""

    def __init__(self, label=""):
        self.lines, self.failed, self.figures, self.label = [], 0, {}, label

    def check(self, name, holds, found):
        """Note whether something holds. found: what there was."""
        self.failed += not holds
        self._say("ok  " if holds else "FAIL", f"{name}: {found}")

    def figure(self, key, device, value, note=""):
        """Note a figure of a device (board, show). None: it could not be measured, which is a failure."""
        figure = FIGURES[key]
        if value is None:
            self.check(figure.words, False, "not measured " + note)
            return
        value = round(value, 1) if isinstance(value, float) else value
        at = (key, *device)
        before = self.figures.get(at)
        self.figures[at] = value if before is None else figure.worse(before, value)
        goal = figure.goal_words(device[1])
        held = "    " if not goal else "ok  " if figure.holds(value, device[1]) else "MISS"
        self._say(held, f"{figure.words}: {value} {figure.unit}{f' (goal {goal})' if goal else ''} {note}".rstrip())

    def _say(self, held, words):
        self.lines.append(f"{held} {self.label}{words}")
        print(self.lines[-1], flush=True)

    def add(self, other):
        """Take over what another report has."""
        self.failed += other.failed
        self.lines += other.lines
        for at, value in other.figures.items():
            before = self.figures.get(at)
            self.figures[at] = value if before is None else FIGURES[at[0]].worse(before, value)

    def misses(self):
        """[(key, board, show, value)] of the figures that miss their goals."""
        return [(*at, value) for at, value in self.figures.items() if not FIGURES[at[0]].holds(value, at[2])]
