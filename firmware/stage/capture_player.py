"""Plays a capture in place of the feed: with pause, loop, 0.1 to 4 times its speed, trimmed ends and fades. Stepped by
feed.py, made by the pages of captures and the running order.

Position and speed are whole numbers: ms of the capture, tenths of its speed.
"""

from micropython import const

from firmware.stage.capture_file import CaptureFile
from firmware.universe import SLOTS

SLOWEST, NORMAL, FASTEST = const(1), const(10), const(40)  # speed in tenths
_HEADS = const(16)  # of blocks, read at once
_MOST = const(16)  # frames decoded in a step; after a jump the others are decoded, unseen, in the next steps


class CapturePlayer:
    """A capture that plays. `frame`, `count`: the slots that are due now; `at`: position, ms; `start`, `end`: as
    trimmed, ms; `speed`: SLOWEST..FASTEST, tenths; `fading`: it is in its fade out; `ended`; `message`: what could not
    be read, in words, until it has been shown; `number`: of the capture, for the pages."""

    def __init__(self, disk, path, about, now):
        """about: as captures.about gives it; now: ms. Errors: ValueError: it holds nothing that can be played; OSError:
        no such file."""
        self.name = about["name"]
        self.number = 0
        self.loop = about["loop"]
        self.fade_in_ms, self.fade_out_ms = about["fade_in"], about["fade_out"]
        self.frame = bytearray(SLOTS)
        self.count = 0
        self.speed = NORMAL
        self.paused = False
        self.ended = self.fading = False
        self.message = ""
        self._file = CaptureFile(disk, path)
        while not self._file.scan(_HEADS):
            pass
        self.start = about["start"]
        self.end = min(about["end"] or self._file.ms, self._file.ms)
        self._reported = 0  # stretches of `missing` that were in `message`
        self._last = now
        self._tenths = 0  # of a ms since `at`
        self.at = self.start
        if self.start >= self.end or not self.seek(self.start):
            raise ValueError("%s holds nothing that can be played" % self.name)

    @property
    def ms(self):
        """Length of the whole capture, ms."""
        return self._file.ms

    def step(self, now):
        """Go on to this time, ms -> True where the frame is new."""
        passed, self._last = now - self._last, now
        if self.paused or self.ended:
            return self._is_new()
        self._tenths += passed * self.speed
        self.at += self._tenths // 10
        self._tenths %= 10
        left = (self.end - self.at) * 10 // self.speed
        self.fading = not self.loop and self.fade_out_ms > 0 and left <= self.fade_out_ms
        if self.at >= self.end:
            if not self.loop:
                self.ended = True
                return self._is_new()
            self.seek(self.start + (self.at - self.end) % (self.end - self.start))
        self._take_due()
        return self._is_new()

    def seek(self, ms):
        """Go to a moment of the capture, ms, within its trimmed ends -> False where it has no frame."""
        self.at = max(self.start, min(self.end - 1, ms))
        if not self._file.seek(self.at):
            return False
        self._pending = self._file.decoder.next()
        if self._pending:  # the frame that was on at that moment, or the first after it
            self._take()
            self._take_due()
        return True

    def _take_due(self):
        """Take the frames that are due."""
        decoder = self._file.decoder
        for _ in range(_MOST):
            if not self._pending:
                self._pending = decoder.next()
                if not self._pending:
                    if not self._file.open():
                        return
                    self._report_missing()
                    continue
            if decoder.at > self.at:
                return
            self._take()
        self._new = False

    def _take(self):
        decoder = self._file.decoder
        self.frame[:] = decoder.frame
        self.count = decoder.count
        self._pending = False
        self._new = True

    def _is_new(self):
        new, self._new = self._new, False
        return new

    def _report_missing(self):
        missing = self._file.missing
        if len(missing) > self._reported:
            start, end = missing[-1]
            self._reported = len(missing)
            self.message = "%s: %.1f s missing at %d:%02d (damaged)" % (
                self.name, (end - start) / 1000, start // 60000, start // 1000 % 60)
