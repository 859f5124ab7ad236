"""sACN (ANSI E1.31) as a source of the feed, on boards with Wi-Fi: what hal/contract.Line has to receive with, made of
what one universe's senders send. Where the light is to go out by sACN (network_out.py) and the feed comes by the cable,
it passes on what the cable brings. Made and ended by network_choice.py.

It has no loop of its own: each received() looks after the Wi-Fi and takes what has come, a few datagrams at most, so
that a flood of them leaves the loop its time. Nothing that comes in can change anything but the feed.
"""

from micropython import const

from firmware.parts import Part
from firmware.wire.e131 import DATA, DISCOVERY, DISCOVERY_UNIVERSE, PORT, SHORT, Packet, group
from firmware.wire.e131_discovery import Found
from firmware.wire.e131_sources import Sources

_LOOK_MS = const(500)  # between two looks at the Wi-Fi
_MOST = const(12)  # datagrams taken in one step of the loop
_NEVER = const(1 << 29)  # ms
_CABLE_LOST_MS = const(1250)  # as stage/feed.py has it


class NetworkIn:
    """The senders of a universe as one source. `settings`: as network_settings.load gives them; `sources`: the senders
    of the universe, `found`: those that list theirs; `counts`: of datagrams; `page`: the page that shows it; `joined`:
    the Wi-Fi is; `lost_ms`, `switched`: as stage/feed.py wants them; `idle`: nobody wants what comes in; `out`: the
    NetworkOut, or None."""

    has_input = True
    drive = every = joined = switched = idle = False
    fault = ""  # why it does not listen, in words

    def __init__(self, app, settings, cable):
        """cable: the line that the feed comes by where the settings say so, or None."""
        board = app.board
        self.settings = settings
        self._cable = cable
        if cable:
            cable.drive = False
        self.part = None  # of this module
        self.found = Found()
        self._clock = board.clock
        self._packet = Packet()
        self._looked = board.clock.ms() - _LOOK_MS
        self._left = _MOST  # datagrams that may still be taken in this step
        self._radio = Part(board.radio)
        self.radio = self._radio.make("Radio", board)
        self.out = self._out = None
        if settings["out"]:
            self._out = Part("firmware.network_out")
            self.out = self._out.make("NetworkOut", app, self.radio, settings["out"], board.clock.ms())
        self._attend()
        self.join()

    def received(self):
        """The frame of the senders that count, where it is new: as hal/contract.Line.received."""
        now = self._clock.ms()
        if now - self._looked >= _LOOK_MS:
            self._look(now)
        if self.out and self.joined:
            self.out.step(now)
        if not self.settings["on"]:
            return self._by_cable()
        if self.idle:
            return None
        fresh = self.sources.step(now)
        while self._left and not (fresh and self.every):
            self._left -= 1
            size = self.radio.receive(self._packet.data)
            if not size:
                self._left = 0
            elif self._take(size, now):
                fresh = True
        self.lost_ms = _NEVER if self.sources.sources else -1
        if fresh and self.sources.view:
            self.switched, self.sources.switched = self.sources.switched, False
            return self.sources.view
        self._left = _MOST
        return None

    def listen_to(self, universe):
        """Go over to another universe."""
        self.settings["universe"] = universe
        self._attend()
        if self.joined:
            self._listen()

    def join(self):
        """Join the Wi-Fi of the settings, in place of the one before."""
        self.joined = False
        if self.settings["wifi"]:
            self.radio.join(self.settings["wifi"], self.settings["password"])
        else:
            self.radio.close()

    def word(self):
        """How it stands with the Wi-Fi, in words."""
        if not self.settings["wifi"]:
            return "without a name"
        return self.fault or self.radio.address() or self.radio.word()

    def move_back(self, by):
        """Move all times back (app_time.py)."""
        self._looked = max(0, self._looked - by)
        for source in self.sources.sources:
            source.heard = max(0, source.heard - by)
        for found in self.found.sources:
            found[3] = max(0, found[3] - by)
        if self.out:
            self.out.move_back(by)

    def close(self):
        """Leave the Wi-Fi, and drop the code."""
        if self.out:
            self.out.end()
            self._out.close()
        self.radio.close()
        self._radio.close()
        self.part.close()

    # --- inside ---

    def _attend(self):
        """Begin with a universe of which nothing was heard."""
        settings = self.settings
        self.sources = Sources(settings["universe"], self.out.sender.cid if self.out else b"")
        self.page = "network_sources" if settings["on"] else "feed_counts"
        self.counts = self.sources.counts
        self.counts["short"] = self.counts["wrong"] = 0
        self.lost_ms = _NEVER

    def _by_cable(self):
        """What comes by the cable, as it is."""
        cable, self.lost_ms = self._cable, _CABLE_LOST_MS
        if cable is None or self.idle:
            return None
        cable.every, self.counts = self.every, cable.counts
        return cable.received()

    def _look(self, now):
        self._looked = now
        self.found.step(now)
        joined = self.radio.word() == "joined"
        if joined and not self.joined:
            self._listen()
        self.joined = joined

    def _listen(self):
        self.fault = ""
        try:
            self.radio.listen(PORT, (group(self.settings["universe"]), group(DISCOVERY_UNIVERSE)))
        except OSError as e:
            self.fault = "port %d: %s" % (PORT, e.args[-1])

    def _take(self, size, now):
        """Take a datagram -> True where the frame is new."""
        kind = self._packet.read(size)
        if kind == DATA:
            return self.sources.take(self._packet, now)
        if kind == DISCOVERY:
            self.found.take(self._packet, now)
        else:
            self.counts["short" if kind == SHORT else "wrong"] += 1
        return False
