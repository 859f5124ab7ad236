"""What a receiver does with what it hears: shared by every chip's line and by the desktop's.

The port turns levels into slots and low stretches; this decides which make a whole packet and counts
the rest. A packet is whole when the next break begins, so one with too many slots is never handed up.
Limits: firmware/wire/dmx.py (ANSI E1.11).
"""

from micropython import const

from firmware.wire.dmx import BREAK_MIN_RX_US, MARK_MIN_RX_US, SPACING_MIN_RX_US, START_CODE

_PASS = const(-1)  # what comes now belongs to no packet: wait for the next break
_FULL = const(513)
_SILENT_MS = const(1_250)

TENTHS = const(10)  # low and mark times come in tenths of a µs: whole numbers, below 2**30 to 107 s


class Receiver:
    """Slots and breaks in, whole packets of start code 0 out. Two buffers: one is filling, one waits or is out. So a
    port hands in what it heard only when it is asked for a packet: then the one that is out is valid no more."""

    def __init__(self, later=False):
        """later: its buffers are made by `begin`, when the port first listens; a port that only sends needs none."""
        self.counts = {"good": 0, "alternate": 0, "short": 0, "long": 0, "framing": 0, "lost": 0}
        self._filling, self._waiting = 0, -1
        self._heard = None  # ms of the newest good packet, None while the line is silent
        self.every = False  # hal/contract.Line.every: the port then reads no further while a packet waits
        self.buffer = bytearray(0)  # a port with a fast loop fills this from n on, then sets n
        self.n = _PASS
        if not later:
            self.begin()

    def begin(self):
        """Make the buffers, unless they are there."""
        if not self.buffer:
            self._buffers = bytearray(_FULL), bytearray(_FULL)
            self._views = [memoryview(b)[1:] for b in self._buffers]
            self.buffer = self._buffers[0]

    def put(self, value):
        """One well-formed slot (the first after a break is the start code)."""
        if self.n == _FULL:
            self._refuse("long")
        elif self.n >= 0:
            self.buffer[self.n] = value
            self.n += 1

    def bad(self):
        """A slot without its stop bits, or noise: the packet it is in is refused."""
        if self.n >= 0:
            self._refuse("framing")

    def low(self, low, mark, span, clean):
        """The line was low for `low`, then high for `mark` before the next fall. span: since the break
        before this one began; all in tenths of a µs. clean: False if this broke into a slot."""
        if low < BREAK_MIN_RX_US * TENTHS:
            self.bad()
            return
        if self.n >= 0:
            if clean:
                self.finish(span)
            else:
                self._refuse("framing")
        self.n = 0
        if mark < MARK_MIN_RX_US * TENTHS:
            self._refuse("short")

    def finish(self, span=SPACING_MIN_RX_US * TENTHS):
        """The packet ends here. span: break to break, tenths of a µs."""
        if self.n < 1 or span < SPACING_MIN_RX_US * TENTHS:
            self._refuse("short")
        elif self.buffer[0] != START_CODE:
            self._refuse("alternate")
        elif self.n == 1:
            self._refuse("short")
        else:
            self._keep()

    def idle(self):
        """The line has been high for a millisecond or more: a packet that has all its slots ends here."""
        if self.n == _FULL:
            self.finish()

    def overrun(self):
        """The port was read too late and slots were lost: pass over until the next break."""
        self._refuse("lost")

    def take(self, now_ms):
        """The newest whole packet not taken before: memoryview of its slots, valid until the next call;
        or None. Counts the line as lost after 1.25 s without a good packet."""
        if self._waiting < 0:
            if self._heard is not None and now_ms - self._heard > _SILENT_MS:
                self._heard = None
                self.counts["lost"] += 1
            return None
        self._heard = now_ms
        out, self._waiting = self._waiting, -1
        return self._views[out]

    def stop(self):
        """True where the port must not read on: a packet waits, and each is to be handed up."""
        return self.every and self._waiting >= 0

    def _refuse(self, why):
        self.counts[why] += 1
        self.n = _PASS

    def _keep(self):
        """Let the filled buffer wait to be taken and fill the other."""
        self.counts["good"] += 1
        if len(self._views[self._filling]) != self.n - 1:
            self._views[self._filling] = memoryview(self.buffer)[1 : self.n]
        self._waiting = self._filling
        self._filling = 1 - self._filling
        self.buffer = self._buffers[self._filling]
        self.n = _PASS
