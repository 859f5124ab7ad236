"""A progress bar for terminals; one line a tenth where the output is no terminal."""

import sys

WIDTH = 30


class Progress:
    """Counts `total` units of work. Draws on `out` (standard error unless told otherwise)."""

    def __init__(self, total, unit="", out=None):
        self.total = max(total, 1)
        self.unit = unit
        self.done = 0
        self.out = out or sys.stderr
        self._tenth = -1

    def step(self, amount, text=""):
        """Add `amount` units; `text` says what they were."""
        self.done = min(self.done + amount, self.total)
        if self.out.isatty():
            self.out.write("\r\x1b[K" + self.line(text))
        elif self.done * 10 // self.total != self._tenth:
            self._tenth = self.done * 10 // self.total
            self.out.write(self.line(text) + "\n")
        self.out.flush()

    def line(self, text=""):
        """The bar as text: `[####------]  40 %  12,000 bytes  name`."""
        full = self.done * WIDTH // self.total
        bar = "#" * full + "-" * (WIDTH - full)
        share = self.done * 100 // self.total
        return f"[{bar}] {share:3} %  {self.done:,}/{self.total:,} {self.unit}  {text}".rstrip()

    def close(self):
        """Leave the bar's line."""
        if self.out.isatty():
            self.out.write("\n")
            self.out.flush()
