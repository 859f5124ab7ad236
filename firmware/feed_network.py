"""sACN (ANSI E1.31) as a source of the feed, on boards with Wi-Fi: what hal/contract.Line has to receive with, made of
what one universe's senders send, and of what the cable brings. Where both come, one of them holds the feed, as the
settings say; the other takes over when that one is lost, and gives way when it is back. The light goes out by sACN too,
where it is to (network_out.py). Made and ended by network_choice.py.

It has no loop of its own: each received() looks after the Wi-Fi and takes what has come, a few datagrams at most, so
that a flood of them leaves the loop its time. Nothing that comes in can change anything but the feed.
"""

from micropython import const

from firmware.parts import Part, once
from firmware.show.network_settings import PASSWORD_LEAST
from firmware.universe import SLOTS
from firmware.wire.e131 import DATA, DISCOVERY, DISCOVERY_UNIVERSE, PORT, SHORT, Packet, group
from firmware.wire.e131_discovery import Found
from firmware.wire.e131_sources import Sources

_LOOK_MS = const(500)  # between two looks at the Wi-Fi
_ANSWER_MS = const(20000)  # so long the Wi-Fi has to answer, before the device makes one itself
_MOST = const(12)  # datagrams taken in one step of the loop
_NEVER = const(1 << 29)  # ms
OWN = "own Wi-Fi"  # as hal/contract.Radio.word() has it
_CABLE_LOST_MS = const(1250)  # as stage/feed.py has it


class NetworkIn:
    """The senders of a universe, or of two, and the cable, as one source. `settings`: as network_settings.load gives
    them; `sources`: the senders of the universe; `second`: those of the one for the rig's second, which comes with the
    first, or None; `found`: those that list theirs; `counts`: of the cable, where there is one;
    `page`: the page that shows who sends; `by_cable`: the cable holds the feed, or held it last; `feed_word`: "feed",
    with who holds it where both may come; `joined`: the Wi-Fi is, or one of its own is there; `lost_ms`, `switched`: as
    stage/feed.py wants them; `idle`: nobody wants what comes in; `out`: the NetworkOut, or None."""

    has_input = True
    drive = every = joined = switched = idle = False
    fault = ""  # why it does not listen, in words

    def __init__(self, app, settings, cable):
        """cable: the DMX512 port that can listen, or None."""
        board = app.board
        self.settings = settings
        self._cable = cable
        if cable:
            cable.drive = False
        self.part = None  # of this module
        self.found = Found()
        self._clock = board.clock
        self._packet = Packet()
        now = board.clock.ms()
        self._looked = now - _LOOK_MS
        self._left = _MOST  # datagrams that may still be taken in this step
        # The cable has the benefit of the doubt, until it was silent for as long as one that was lost.
        self._cable_there, self._cable_ms = cable is not None, now
        self._radio = Part(board.radio)
        self.radio = self._radio.make("Radio", board)
        self.out = self._out = None
        if settings["out"] or settings["out2"]:
            self._out = Part("firmware.network_out")
            self.out = self._out.make("NetworkOut", app, self.radio, settings, now)
        self._attend()
        self._hold(cable is not None)
        self._turned = False  # else: who holds the feed has changed, and no frame was handed up since
        self.join()

    def received(self):
        """The frame of whoever holds the feed, where it is new: as hal/contract.Line.received."""
        now = self._clock.ms()
        if now - self._looked >= _LOOK_MS:
            self._look(now)
        if self.out and self.joined:
            self.out.step(now)
        if self.idle:
            return None
        slots = self._by_cable(now)
        fresh = self.settings["on"] and self._by_network(now)
        self._settle()
        if not self.by_cable:
            slots = self._frame() if fresh else None
        if slots is None:
            self._left = _MOST
            return None
        self.switched = self._turned or self.sources.switched and not self.by_cable
        self._turned = self.sources.switched = False
        if self.second:
            self.switched = self.switched or self.second.switched and not self.by_cable
            self.second.switched = False
        return slots

    def who(self):
        """Who holds the feed, and who waits, in words."""
        heard = self._heard()
        if self._cable_there and heard:
            return "cable, sACN waits" if self.by_cable else "sACN, cable waits"
        return "cable" if self._cable_there else "sACN" if heard else "nobody"

    def listen_to(self, key, universe):
        """Go over to another universe. key: "universe", or "universe2": that of the rig's second."""
        self.settings[key] = universe
        self._attend()
        if self.joined:
            self._listen()

    def join(self):
        """Join the Wi-Fi of the settings, in place of the one before; where it does not answer, or there is none, make
        one, if the settings say so."""
        self.joined = False
        self._waits = self._may_host()  # for an answer
        self._asked = self._clock.ms()
        if self.settings["wifi"]:
            self.radio.join(self.settings["wifi"], self.settings["password"])
        elif self._waits:
            self._host()
        else:
            self.radio.close()

    def word(self):
        """How it stands with the Wi-Fi, in words."""
        if not self.settings["wifi"] and not self._may_host():
            return "without a name"
        radio = self.radio
        if radio.word() == OWN:
            return self.fault or "own, " + radio.address()
        return self.fault or radio.address() or radio.word()

    def move_back(self, by):
        """Move all times back (app_time.py)."""
        self._looked = max(0, self._looked - by)
        self._cable_ms = max(0, self._cable_ms - by)
        self._asked = max(0, self._asked - by)
        for source in self.sources.sources + (self.second.sources if self.second else []):
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
        own = self.out.cid if self.out else b""
        self.sources, self.second = Sources(self.settings["universe"], own), None
        if self.settings["universe2"]:
            self.second = Sources(self.settings["universe2"], own)
            self._both = memoryview(bytearray(2 * SLOTS))
            self._halves = self._both[:SLOTS], self._both[SLOTS:]
        counts = self.sources.counts
        counts["short"] = counts["wrong"] = 0
        self.counts = self._cable.counts if self._cable else counts
        self.lost_ms = _NEVER

    def _heard(self):
        """True while the network sends."""
        return self.settings["on"] and bool(self.sources.sources)

    def _settle(self):
        """Who holds the feed: of those that are there the one that the settings put first; else who held it last. Its
        next packet makes the light, so that one that has just fallen silent never comes back with an old one."""
        cable = self._cable_there
        heard = self._heard()
        self.lost_ms = -1
        if cable or heard:
            self.lost_ms = _NEVER
            by_cable = cable and not (heard and self.settings["first"])
            if by_cable != self.by_cable:
                self._hold(by_cable)

    def _hold(self, by_cable):
        self.by_cable = by_cable
        self._turned = True
        self.page = "feed_counts" if by_cable else "network_sources"
        self.feed_word = "feed"
        if self._cable and self.settings["on"]:
            self.feed_word = "feed cable" if by_cable else "feed sACN"

    def _by_cable(self, now):
        """The newest packet of the cable, or None."""
        cable = self._cable
        if cable is None:
            return None
        cable.every = self.every
        slots = cable.received()
        if slots is not None:
            self._cable_there = True
            self._cable_ms = now
        elif now - self._cable_ms > _CABLE_LOST_MS:
            self._cable_there = False
        return slots

    def _by_network(self, now):
        """Take what came by the network -> True where the frame of its senders is new."""
        fresh = self.sources.step(now)
        if self.second and self.second.step(now):
            fresh = True
        one_by_one = self.every and not self.by_cable
        while self._left and not (fresh and one_by_one):
            self._left -= 1
            size = self.radio.receive(self._packet.data)
            if not size:
                self._left = 0
            elif self._take(size, now):
                fresh = True
        return fresh

    def _frame(self):
        """What the senders make: of the first universe, or, while the second has some, of both; None without the first.
        """
        first, second = self.sources, self.second
        if not first.sources or not first.view:
            return None
        if not second or not second.sources or not second.view:
            return first.view
        self._halves[0][:] = first.frame
        self._halves[1][:] = second.frame
        return self._both

    def _look(self, now):
        self._looked = now
        self.found.step(now)
        word = self.radio.word()
        joined = word == "joined" or word == OWN
        if joined and not self.joined:
            self._listen()
        self.joined = joined
        if joined:
            self._waits = False  # one that answered once is joined again whenever it is back
        elif self._waits and now - self._asked >= _ANSWER_MS:
            self._host()

    def _may_host(self):
        return self.settings["own"] and len(self.settings["own_password"]) >= PASSWORD_LEAST

    def _host(self):
        self._waits = False
        self.radio.host(once("firmware.network_own", "name", self.radio), self.settings["own_password"])

    def _listen(self):
        self.fault = ""
        try:
            groups = [group(self.settings["universe"]), group(DISCOVERY_UNIVERSE)]
            if self.second:
                groups.append(group(self.second.universe))
            self.radio.listen(PORT, groups)
        except OSError as e:
            self.fault = "port %d: %s" % (PORT, e.args[-1])

    def _take(self, size, now):
        """Take a datagram -> True where the frame is new."""
        kind = self._packet.read(size)
        if kind == DATA:
            second = self.second
            if second and self._packet.universe == second.universe:
                return second.take(self._packet, now)
            return self.sources.take(self._packet, now)
        if kind == DISCOVERY:
            self.found.take(self._packet, now)
        else:
            self.sources.counts["short" if kind == SHORT else "wrong"] += 1
        return False
