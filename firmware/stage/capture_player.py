"""Plays a capture in place of the feed: pause, loop, 0.1x to 4x, trimmed ends, fades. Stepped by feed.py.

Position and speed are whole numbers: ms of the capture, tenths.
"""

from micropython import const

from firmware.stage.capture_file import CaptureFile

SLOWEST, EVEN, FASTEST = const(1), const(10), const(40)  # speed in tenths
_HEADS = const(16)
_MOST = const(16)  # frames decoded in a step: after a jump the rest follows in the next steps, unseen


class CapturePlayer:
    """One capture that plays. `frame`, `count`: the slots due now. `at`: ms of the capture; `start`, `end`: as trimmed;
    `fading`: it is in its fade out; `ended`; `message`: what could not be read, in words, until somebody has shown it;
    `number`: of the capture, for the pages."""

    def __init__(self, disk, path, about, now):
        """about: what show/captures.py keeps. Errors: ValueError: it holds nothing; OSError: no such file."""
        self.name = about["name"]
        self.number = 0
        self.loop = about["loop"]
        self.fade_in_ms, self.fade_out_ms = about["fade_in"], about["fade_out"]
        self.frame = bytearray(512)
        self.count = 0
        self.speed = EVEN
        self.paused = False
        self.ended = self.fading = False
        self.message = ""
        self._file = CaptureFile(disk, path)
        while not self._file.scan(_HEADS):
            pass
        self.start = about["start"]
        self.end = min(about["end"] or self._file.ms, self._file.ms)
        self._told = 0
        self._last = now
        self._tenths = 0  # of a ms since `at`
        self.at = self.start
        if self.start >= self.end or not self.seek(self.start):
            raise ValueError("%s holds nothing that can be played" % self.name)

    @property
    def ms(self):
        """Length of the whole capture."""
        return self._file.ms

    def step(self, now):
        """Go on to this time. -> True where the frame is new."""
        passed, self._last = now - self._last, now
        if self.paused or self.ended:
            return self._fresh()
        self._tenths += passed * self.speed
        self.at += self._tenths // 10
        self._tenths %= 10
        left = (self.end - self.at) * 10 // self.speed
        self.fading = not self.loop and self.fade_out_ms > 0 and left <= self.fade_out_ms
        if self.at >= self.end:
            if not self.loop:
                self.ended = True
                return self._fresh()
            self.seek(self.start + (self.at - self.end) % (self.end - self.start))
        self._run()
        return self._fresh()

    def seek(self, ms):
        """Go to a moment of the capture. -> False where there is nothing."""
        self.at = max(self.start, min(self.end - 1, ms))
        if not self._file.seek(self.at):
            return False
        self._pending = self._file.decoder.next()
        if self._pending:  # the frame that was on at that moment, or the first after it
            self._take()
            self._run()
        return True

    def _run(self):
        """Take every frame that is due."""
        decoder = self._file.decoder
        for _ in range(_MOST):
            if not self._pending:
                self._pending = decoder.next()
                if not self._pending:
                    if not self._file.open():
                        return
                    self._tell()
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

    def _fresh(self):
        new, self._new = self._new, False
        return new

    def _tell(self):
        missing = self._file.missing
        if len(missing) > self._told:
            start, end = missing[-1]
            self._told = len(missing)
            self.message = "%s: %.1f s missing at %d:%02d (damaged)" % (
                self.name, (end - start) / 1000, start // 60000, start // 1000 % 60)
