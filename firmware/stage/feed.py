"""DMX that comes in, merged with the stage's frame: who holds which lamp, what happens when it is lost and returns.

Made by the app when a feed comes in or is wanted. A step takes the newest packet (every packet while one records),
merges, and says whether `frame` is to go out anew. A fade here is between frames, not between looks: from whatever
was on the line to what it is to be, so that nothing jumps. A source is anything with received() and counts: a line of
hal/contract.Line; sACN will be one too. A capture that plays (player.py) stands in for the source.
"""

from micropython import const

from firmware.parts import once
from firmware.stage.feed_tables import BY_FEED, BY_POCKET, FEED_LAST, LATEST, OWN_LAST

try:
    from firmware.stage.feed_loops_viper import decide, merge, mix, watch
except (ImportError, SyntaxError, NameError):  # a port without native code; CPython knows no ptr8
    from firmware.stage.feed_loops import decide, merge, mix, watch

LOST_MS = const(1250)  # ANSI E1.11: so long a receiver may wait for the next break before it calls the feed lost
_ONE = const(65536)
_RATE_MS = const(1000)
# `state`:
NONE, LIVE, LOST = const(0), const(1), const(2)


class Feed:
    """The feed of one stage. `frame`: what goes out. `state`: NONE (none came yet), LIVE or LOST; `since`: ms of
    its last change; `count`: slots of the newest packet; `hz10`: packets in ten seconds; `losses`: times lost;
    `message`: news in words, until the app has shown it. `got`: the newest packet, 512 slots. `recorder`, `player`:
    what records it or plays in its place, or None."""

    def __init__(self, stage, source, settings, now):
        self.source = source
        self.frame = bytearray(stage.frame)
        self.got = bytearray(512)
        self.count = 0
        self.state = NONE
        self.since = now
        self.hz10 = 0
        self.losses = 0
        self.message = ""
        self.recorder = self.player = None
        self._own = bytearray(stage.frame)  # as the last step saw it
        self._from = bytearray(512)  # where a fade began
        self._heard = now  # ms of the last packet
        self._polled = now
        self._packets = 0
        self._rated = now
        self._began = self._length = 0  # of the fade; length 0: none
        self._share = 0  # of the feed in the frame, 0.._ONE
        self._goal = 0
        self._moved = self._slope = 0  # ms of the share's start and length
        self._share0 = 0
        self.attach(stage, settings)

    # --- the tick ---

    def step(self, now):
        """Take in what came and merge. -> True where `frame` is new. Allocates nothing while nobody records."""
        if self._rig_changes != self.stage.show.rig.changes:
            self._lay()
        fresh = self._listen(now)
        if self.recorder:
            self._keep(now)
        if self.state == LIVE and now - self._heard > LOST_MS:
            self._lost(now)
        if self.player:
            fresh = self._play(now)
        if self.stage.blackout != self._black:
            self._black = self.stage.blackout
            if self._black and self._share:
                self.message = "Blackout is the pocket's: the feed's light stays"
        if self.stage.changed:
            watch(self.stage.frame, 512, self._own, self._lamps, self._moves, OWN_LAST, now)
            fresh = True
        if not (fresh or self._again or self._length or self._share != self._goal):
            return False
        self._again = False
        self._merge(now)
        return True

    def _listen(self, now):
        """Take the packets that came. -> True where one is new."""
        fresh = False
        while True:
            slots = self.source.received() if self.source else None
            if slots is None:
                break
            if self.recorder:
                self.recorder.packet(slots, self._polled, now)
            self._packets += 1
            self._heard = now
            if self.state != LIVE:
                self._arrived(now)
            if not self.player:
                self.count = len(slots)
                watch(slots, self.count, self.got, self._lamps, self._moves, FEED_LAST, now)
                fresh = True
        self._polled = now
        if now - self._rated >= _RATE_MS:
            self.hz10 = self._packets * 10000 // (now - self._rated)
            self._packets = 0
            self._rated = now
        return fresh

    def _merge(self, now):
        own, out, share = self.stage.frame, self.frame, self._level(now)
        if share:
            decide(own, self.got, self.count, self._lamps, self._moves, self._holds)
            merge(own, self.got, out, self._ways, self._holds, self._shown)
            if share < _ONE:
                mix(own, out, out, share, self._ways, self._free)
        else:
            mix(own, own, out, 0, self._ways, self._free)
        if self._length:
            done = now - self._began
            if done >= self._length:
                self._length = 0
            else:
                mix(self._from, out, out, _part(done, self._length), self._ways, self._free)

    def _level(self, now):
        """The feed's share at this time."""
        if self._share != self._goal:
            done = now - self._moved
            if done >= self._slope:
                self._share = self._goal
            else:
                way, part = self._goal - self._share0, _part(done, self._slope)
                self._share = self._share0 + ((way * (part >> 8) + (way * (part & 255) >> 8)) >> 8)
        return self._share

    # --- what the app, the pages and the player call ---

    def attach(self, stage, settings):
        """Go on with the stage of another show. settings: as show/feed_settings.py gives them."""
        self.stage, self.settings = stage, settings
        self._uids, self._moves, self._holds = (), (), ()
        self._black = stage.blackout
        self.changed()

    def fade(self, now, ms):
        """Let what changes now come in over so many ms, from the frame that is on the line."""
        self._from[:] = self.frame
        self._began, self._length = now, ms
        self._again = True

    def move(self, now, share, ms):
        """Bring the feed's share to 0 or 1 in so many ms."""
        self._share0, self._goal = self._share, share * _ONE
        self._moved, self._slope = now, ms
        if not ms:
            self._share = self._goal
        self._again = True

    def changed(self):
        """The rig or the rules changed: lay out the tables anew."""
        self._lay()
        self.stage.pick_up = self.pick_up if LATEST in self.settings["rules"].values() else None

    def holder(self, place):
        """Who holds the fixture at a place of the rig: holds.BY_FEED, BY_POCKET or BY_BOTH."""
        return self._shown[place] if self._share else BY_POCKET

    def rule(self, fixture):
        """holds.HIGHEST, LATEST, POCKET or FEED."""
        return self.settings["rules"].get(fixture.uid, 0)

    def set_rule(self, now, fixture, rule):
        """Give a fixture another rule, in the time of a fade back; keep the settings after it."""
        self.settings["rules"].pop(fixture.uid, None)
        if rule:
            self.settings["rules"][fixture.uid] = rule
        self.fade(now, self.settings["back_ms"])
        self.changed()

    def turn_on(self, now, on):
        """Take the feed over, or only watch it."""
        self.settings["on"] = 1 if on else 0
        self.fade(now, self.settings["back_ms"])
        self.move(now, 1 if on and self.state else 0, 0)

    def pick_up(self, fixture):
        """The pocket is about to move a fixture: where the latest move counts and the feed holds it, the pocket takes
        it as it stands on the line, so that it does not jump."""
        stage, place = self.stage, self.stage.show.rig.fixtures.index(fixture)
        if self._share and self.rule(fixture) == LATEST and self._holds[place] == BY_FEED:
            light = once("firmware.show.resolve_back", "read", fixture, self.frame, *stage.trims(fixture))
            stage.set_fade(fixture, light, light, 0, 0, 0)

    def play(self, now, player):
        """Let a capture stand in for the source; None ends it, in the time of a fade back."""
        self.fade(now, player.fade_in_ms if player else self.settings["back_ms"])
        self.player = player
        self.move(now, 1 if player or self.state == LIVE and self.settings["on"] else 0, 0)

    def is_live(self):
        """True while packets come in."""
        return self.state == LIVE

    def is_lost(self):
        """True from the loss of the feed until it is back."""
        return self.state == LOST

    def word(self):
        """What it is doing, in a word or two; "" where it does nothing."""
        if self.recorder and self.recorder.number:
            return "recording"
        if self.player:
            return "paused" if self.player.paused else "plays"
        if not self.settings["on"] or self.state == NONE:
            return ""
        return "feed" if self.state == LIVE else "feed lost"

    def record(self, recorder):
        """Give every packet to a recorder; None: no more."""
        self.recorder = recorder
        if self.source:
            self.source.every = recorder is not None

    # --- inside ---

    def _arrived(self, now):
        """The first packet, or the first after a loss."""
        if self.state == LOST:
            self.message = "The feed is back"
        self.state, self.since = LIVE, now
        if self.settings["on"] and not self.player:
            self.fade(now, self.settings["back_ms"])
            self.move(now, 1, 0)

    def _lost(self, now):
        self.state, self.since = LOST, now
        self.losses += 1
        if self.player:  # it stands in for the feed; at its end the light is the pocket's
            return
        self.message = "Feed lost: its last frame is held"
        look = self.stage.show.looks.name_of(self.settings["lost"])
        if not (look and self.settings["on"]):
            return
        ms = self.settings["lost_ms"]
        try:
            self.stage.go(look, ms / 1000)
        except ValueError as e:
            self.message = "Feed lost, its last frame is held: %s" % e.args[0]
            return
        self.message = "Feed lost: to %s in %g s" % (look, ms / 1000)
        self.move(now, 0, ms)

    def _keep(self, now):
        recorder = self.recorder
        recorder.step(now)
        if recorder.full:
            self.message = recorder.message
            self.record(None)

    def _play(self, now):
        """Take the frame of the capture that plays. -> True where it is new."""
        player = self.player
        fresh = player.step(now)
        if fresh:
            self.count = player.count
            watch(player.frame, self.count, self.got, self._lamps, self._moves, FEED_LAST, now)
        if player.message:
            self.message, player.message = player.message, ""
        if player.ended:
            self.play(now, None)
        elif player.fading and self._goal:
            self.move(now, 0, player.fade_out_ms)
        return fresh

    def _lay(self):
        """Tables of the rig for merge.py. Who holds a lamp stays."""
        rig = self.stage.show.rig
        self._rig_changes = rig.changes
        was = self._uids, self._moves, self._holds
        (self._lamps, self._ways, self._free, self._uids, self._moves, self._holds) = once(
            "firmware.stage.feed_tables_build", "build", rig, self.settings["rules"], *was)
        self._shown = bytearray(self._holds)
        self._again = True


def _part(done, whole):
    """done / whole as 0..65536, whole up to 600,000: no int above 2**30."""
    done <<= 10
    return (done // whole << 6) + (done % whole << 6) // whole
