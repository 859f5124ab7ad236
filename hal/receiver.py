"""Makes packets of the slots and breaks that a port finds on its line. Shared by every chip's line and the desktop's.

The port turns levels into slots and low stretches; the receiver decides which of them make a whole packet and counts
the rest. A packet is whole when the next break begins, so one with too many slots is never handed up.
Limits: firmware/wire/dmx.py (ANSI E1.11).
"""

from micropython import const

from firmware.wire.dmx import BREAK_MIN_RX_US, MARK_MIN_RX_US, SLOTS_MAX, SPACING_MIN_RX_US, START_CODE

_SKIP = const(-1)  # what comes now belongs to no packet: wait for the next break
_SILENT_MS = const(1_250)
_TICKS = const(0x3FFFFFFF)  # ticks_ms of the chips wraps above this

TENTHS = const(10)  # low and mark times come in tenths of a µs: whole numbers, below 2**30 to 107 s


class Receiver:
    """Slots and breaks in, whole packets of start code 0 out. Of its two buffers one is being filled; the other waits
    to be taken or has been handed out, and the latter is valid until the next take(). So a port passes on what it
    received only when it is asked for a packet."""

    def __init__(self, later=False):
        """later: the buffers are made by begin(), when the port first listens; a port that only sends needs none."""
        self.counts = {"good": 0, "alternate": 0, "short": 0, "long": 0, "framing": 0, "lost": 0}
        self._filling, self._waiting = 0, -1
        self._good_ms = None  # when the newest good packet was taken; None while the line is silent
        self.every = False  # hal/contract.Line.every: the port then reads no further while a packet waits
        self.buffer = bytearray(0)  # a port with a fast loop fills this from n on, then sets n
        self.n = _SKIP
        if not later:
            self.begin()

    def begin(self):
        """Make the buffers, unless they are there."""
        if not self.buffer:
            self._buffers = bytearray(SLOTS_MAX + 1), bytearray(SLOTS_MAX + 1)
            self._views = [memoryview(b)[1:] for b in self._buffers]
            self.buffer = self._buffers[0]

    def put(self, value):
        """Take in one well-formed slot (the first after a break is the start code)."""
        if self.n == len(self.buffer):
            self.refuse("long")
        elif self.n >= 0:
            self.buffer[self.n] = value
            self.n += 1

    def bad(self):
        """A slot came without its stop bits, or noise: refuse the packet that it is in."""
        if self.n >= 0:
            self.refuse("framing")

    def low(self, low, mark, span, clean):
        """The line was low for `low`, then high for `mark` before it fell again. span: from the last break's start to
        this one's; all in tenths of a µs. clean: False if this low stretch began inside a slot."""
        if low < BREAK_MIN_RX_US * TENTHS:
            self.bad()
            return
        if self.n >= 0:
            if clean:
                self.finish(span)
            else:
                self.refuse("framing")
        self.n = 0
        if mark < MARK_MIN_RX_US * TENTHS:
            self.refuse("short")

    def finish(self, span=SPACING_MIN_RX_US * TENTHS):
        """The packet ends here. span: break to break, tenths of a µs."""
        if self.n < 1 or span < SPACING_MIN_RX_US * TENTHS:
            self.refuse("short")
        elif self.buffer[0] != START_CODE:
            self.refuse("alternate")
        elif self.n == 1:
            self.refuse("short")
        else:
            self._accept()

    def idle(self):
        """The line has been high for a millisecond or more: a packet that has all its slots ends here."""
        if self.n == len(self.buffer):
            self.finish()

    def take(self, now_ms):
        """The newest whole packet not taken before: memoryview of its slots, valid until the next call;
        or None. Counts the line as lost after 1.25 s without a good packet."""
        if self._waiting < 0:
            if self._good_ms is not None and (now_ms - self._good_ms & _TICKS) > _SILENT_MS:
                self._good_ms = None
                self.counts["lost"] += 1
            return None
        self._good_ms = now_ms
        out, self._waiting = self._waiting, -1
        return self._views[out]

    def stop(self):
        """True where the port must not read on: a packet waits, and each is to be handed up."""
        return self.every and self._waiting >= 0

    def refuse(self, why):
        """Count under `why`, a key of counts, and skip to the next break. A port that was read too late says "lost"."""
        self.counts[why] += 1
        self.n = _SKIP

    def _accept(self):
        """Let the filled buffer wait to be taken, and fill the other."""
        self.counts["good"] += 1
        if len(self._views[self._filling]) != self.n - 1:
            self._views[self._filling] = memoryview(self.buffer)[1 : self.n]
        self._waiting = self._filling
        self._filling = 1 - self._filling
        self.buffer = self._buffers[self._filling]
        self.n = _SKIP
