"""The cable as the source of the feed, on a port that answers RDM (ANSI E1.20): a desk finds the pocket there, reads
what it is, names it and lets it show itself. Nothing that a desk says changes the light. Made and ended by
feed_sources.py.
"""

from micropython import const

from firmware.parts import Part, once
from firmware.wire.rdm_responder import Responder

_BLINK_MS = const(500)
_KEEP_MS = const(2000)  # so long after a desk has named the device, the name is saved


class Answering:
    """`uid`: six bytes, which the pocket is found by; `responder`; `part`: of this module. The rest is as a source has
    it (feed_sources.py). `idle`: nobody wants the packets that come in."""

    has_input = True
    drive = every = idle = False

    def __init__(self, app, cable):
        """Errors: ValueError, MemoryError: the port cannot answer."""
        self.part = None
        self._app, self._cable = app, cable
        self.counts = cable.counts
        self._shown = False  # the device shows itself
        self._renamed = 0  # ms: when a desk last named it; 0: it is saved
        self._port_part = Part(once(cable.rdm, "answers"))
        self._port = self._port_part.make("Answers", cable, app.board.chip)
        self.uid, self.responder = once("firmware.feed_rdm_begin", "begin", app, self._port, Responder)

    def received(self):
        """As hal/contract.Line.received."""
        responder, now = self.responder, self._app.now
        if responder.identify or self._shown:
            self._show(responder.identify)
        if responder.renamed:
            responder.renamed, self._renamed = False, now
        elif self._renamed and now - self._renamed >= _KEEP_MS:
            self._keep()
        if self.idle:
            return None
        self._cable.every = self.every
        return self._cable.received()

    def move_back(self, by):
        """Move the time back (app_time.py)."""
        self._renamed = max(0, self._renamed - by)

    def close(self):
        """Answer no longer, and drop the code."""
        self._port.close()
        self._port_part.close()
        if self._renamed:
            self._keep()
        if self._shown:
            self._app.board.led(0)
        self.part.close()

    def _show(self, on):
        """Show which device this is: by words, by a screen that is lit, and by the board's lamp."""
        app = self._app
        app.board.led(on and app.now // _BLINK_MS & 1)
        if on:
            app.screen.wake(app.now)
        if on and not app.screen.message:
            app.say("IDENTIFY: a desk looks for this pocket")
        elif not on:
            app.say("The desk looks no longer")
        self._shown = bool(on)

    def _keep(self):
        """Save the name."""
        self._renamed = 0
        self._app.try_to(once, "firmware.feed_rdm_begin", "save", self._app.board.disk, self.responder)
