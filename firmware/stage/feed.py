"""DMX that comes in, merged with the frame of the stage: who holds which fixture, and what happens when the feed is
lost and returns.

Made by the app when a feed comes in or its page is opened. A step takes the newest packet (every packet while the feed
is recorded), merges, and says whether `frame` is to be sent. A fade here is one between two frames, not between looks:
from what was on the line to what is to be there, so that nothing jumps. A source is anything with received() and
counts: a line of hal/contract.Line, or the network (feed_network.py). It may have `lost_ms`, how long after its last
packet it is lost, `switched`: that packet is of another sender, and `feed_word`: what the title says while it sends. A
capture that plays (capture_player.py) takes the place of the source.

The frames are as long as the stage's. A cable brings one universe, for the lamps of the first; those of the second are
then the pocket's, as their slots lie behind `count`. The network may bring both, one behind the other.
"""

import gc
from array import array

from micropython import const

from firmware.parts import Part, once
from firmware.stage.feed_tables import (
    BY_FEED,
    BY_POCKET,
    DIMMER,
    DIMMER_LOW,
    FEED_LAST,
    FIRST,
    FIXTURE_ROW,
    HAND_OVER_MS,
    LAST,
    LATEST,
    POCKET_LAST,
)
from firmware.universe import SLOTS

try:
    from firmware.stage.feed_loops_viper import blend, decide, hand_over, merge, mix, watch
except (ImportError, SyntaxError, NameError):  # a port without native code; CPython knows no ptr8
    from firmware.stage.feed_loops import blend, decide, hand_over, merge, mix, watch

LOST_MS = const(1250)  # ANSI E1.11: how long a receiver waits for the next break before it calls the feed lost
_HELD_MS = const(1000)  # so long the slots that a packet lacks keep their last values
_ONE = const(65536)  # a share of all
_RATE_MS = const(1000)  # the rate is counted over so long
NONE = const(0)  # `state`: no packet came yet
LIVE = const(1)  # they come
LOST = const(2)  # they stopped


class Feed:
    """The feed of one stage. `frame`: what goes out; `state`: NONE, LIVE or LOST; `since`: ms of its last change;
    `packet`: the newest packet; `count`: how many slots it had; `hz10`: packets in ten seconds; `losses`:
    how often the feed was lost; `shorts`: packets with fewer slots than those before; `message`: news in words, until
    the app has shown it; `asks`: a push on that message brings the pocket's own light; `lit`: the stage is black and
    the feed keeps lamps lit; `recorder`, `player`: what records the feed or plays in its place, or None; `stage`,
    `source`, `settings`."""

    def __init__(self, stage, source, settings, now):
        """source: see above, or None; settings: as feed_settings.load gives them; now: ms."""
        self.source = source
        self.frame = bytearray(SLOTS)
        self.packet = bytearray(SLOTS)
        self.count = 0
        self.state = NONE
        self.since = now
        self.hz10 = 0
        self.losses = 0
        self.message = ""
        self.asks = self.lit = False
        self.shorts = 0
        self.recorder = self.player = None
        self._limit = self._limit_part = None  # the limiter on flashing, while a capture plays
        self._last = now  # of the last packet that had `count` slots
        self._pocket = bytearray(SLOTS)  # the stage's frame as the last step saw it
        self._left = bytearray(SLOTS)  # of fixtures that are handed over: their slots before that
        self._handed = -HAND_OVER_MS  # ms: when one was last handed over
        self._fade_from = bytearray(SLOTS)  # the frame that a fade began with
        self._packet_ms = now
        self._polled = now  # ms of the last call of received()
        self._packet_count = 0
        self._counted_since = now
        self._fade_began = self._fade_ms = 0  # of the fade between frames, ms; length 0: none is on
        self._share = 0  # of the feed in the frame, 0.._ONE
        self._share_from = self._share_goal = 0  # where it began to change, and goes
        self._share_began = self._share_ms = 0  # of that change, ms
        self.attach(stage, settings)
        self.frame[:] = self._pocket[:] = stage.frame

    # --- the tick ---

    def step(self, now):
        """Take what came in and merge it. now: ms -> True where `frame` is new. Allocates nothing unless the feed is
        recorded."""
        if self._rig_changes != self.stage.show.rig.changes:
            self._build_tables()
        fresh = self._listen(now)
        if self.recorder:
            self._step_recorder(now)
        if self.state == LIVE and now - self._packet_ms > getattr(self.source, "lost_ms", LOST_MS):
            self._lost(now)
        if self.player:
            fresh = self._step_player(now)
        if self.stage.blackout != self._blackout:
            self._blackout = self.stage.blackout
            self._stale = True
            if self._blackout and self._share:
                self.message = "Blackout is the pocket's: the feed's light stays"
        if self.stage.changed:
            frame = self.stage.frame
            watch(frame, len(frame), self._pocket, self._fixtures, self._change_times, POCKET_LAST, now, 0)
            fresh = True
        if not (fresh or self._stale or self._fade_ms or now - self._handed <= HAND_OVER_MS
                or self._share != self._share_goal or self._limit and self._limit.mask):
            return False
        self._stale = False
        if self._limit:
            self._limited(now)
        else:
            self._merge(now, self.packet, self.frame)
        return True

    def _listen(self, now):
        """Take the packets that came -> True where there was one and no capture plays."""
        fresh = False
        while True:
            slots = self.source.received() if self.source else None
            if slots is None:
                break
            if self.recorder:
                self.recorder.add(slots if len(slots) <= SLOTS else slots[:SLOTS], self._polled, now)
            self._packet_count += 1
            self._packet_ms = now
            if self.state != LIVE:
                self._arrived(now)
            if self._share and getattr(self.source, "switched", False):
                self.fade(now, self.settings["back_ms"])
            if not self.player:
                self._take(slots, min(len(slots), len(self.packet)), now)
                fresh = True
        self._polled = now
        if now - self._counted_since >= _RATE_MS:
            self.hz10 = self._packet_count * 10000 // (now - self._counted_since)
            self._packet_count = 0
            self._counted_since = now
        return fresh

    def _take(self, slots, count, now):
        """Take a packet. The slots that it lacks keep their last values for a while; then their fixtures go over to the
        pocket."""
        held = 0
        if count < self.count:
            self.shorts += 1
            if now - self._last < _HELD_MS:
                held = self.count
        if not held:
            if count != self.count and self.count and self._share:
                self.fade(now, self.settings["back_ms"])
            self.count = count
            self._last = now
        watch(slots, count, self.packet, self._fixtures, self._change_times, FEED_LAST, now, held)

    def _limited(self, now):
        """Merge a capture that plays under the limit on flashing."""
        limit, effects = self._limit, self.stage.effects
        limit.also = None
        if effects:
            limit.also, limit.on = effects.limit, effects.limited
            if effects.limit:
                effects.limit.also = limit
        self._merge(now, self._passed, self._held)
        self._merge(now, self.packet, self._passing)
        limit.pass_on(self._held, self._passing, self.frame, now)
        limit.accept(self.packet, self._passed)

    def _merge(self, now, packet, out):
        pocket, share = self.stage.frame, self._share_now(now)
        if share:
            decide(pocket, packet, self.count, self._fixtures, self._change_times, self._holders)
            if hand_over(self._held_by, self._holders, self._fixtures, self.frame, self._left, self._handed_ms,
                         max(1, now)) and not self._fade_ms:
                self._handed = now
            merge(pocket, packet, out, self._channels, self._holders, self._winners)
            if now - self._handed < HAND_OVER_MS:
                blend(self._left, out, self._fixtures, self._channels, self._handed_ms, now)
            if share < _ONE:
                mix(pocket, out, out, share, self._channels, self._unpatched)
        else:
            mix(pocket, pocket, out, 0, self._channels, self._unpatched)
        if self._fade_ms:
            done = now - self._fade_began
            if done >= self._fade_ms:
                self._fade_ms = 0
            else:
                mix(self._fade_from, out, out, _part(done, self._fade_ms), self._channels, self._unpatched)
        self.lit = self._blackout and share > 0 and self._lights()

    # Machine code on the chips.
    def _lights(self):
        """True where the line lights a lamp, or has a value in a slot of nobody, that may be a lamp's."""
        out, rows, unpatched = self.frame, self._fixtures, self._unpatched
        for at in range(0, len(rows), FIXTURE_ROW):
            dimmer, low = rows[at + DIMMER], rows[at + DIMMER_LOW]
            if dimmer:
                if out[dimmer - 1] or low and out[low - 1]:
                    return True
                continue
            for slot in range(rows[at + FIRST], rows[at + LAST] + 1):
                if out[slot]:
                    return True
        lit = False  # any() would allocate
        for slot in range(len(unpatched)):
            if unpatched[slot] and out[slot]:
                lit = True
        return lit

    def _share_now(self, now):
        """The feed's share in the frame, 0.._ONE, at this time."""
        if self._share != self._share_goal:
            done = now - self._share_began
            if done >= self._share_ms:
                self._share = self._share_goal
            else:
                change, part = self._share_goal - self._share_from, _part(done, self._share_ms)
                self._share = self._share_from + ((change * (part >> 8) + (change * (part & 255) >> 8)) >> 8)
        return self._share

    # --- what the app, the pages and the player call ---

    def attach(self, stage, settings):
        """Go on with the stage of another show. settings: as feed_settings.load gives them."""
        self.stage, self.settings = stage, settings
        self._uids, self._change_times, self._holders = (), (), ()
        self._blackout = stage.blackout
        self.rules_changed()

    def fade(self, now, ms):
        """Let what changes from now on come in over so many ms, from the frame that is on the line."""
        self._fade_from[:] = self.frame
        self._fade_began, self._fade_ms = now, ms
        self._stale = True

    def set_share(self, now, share, ms):
        """Bring the feed's share in the frame to 0 or 1 in so many ms."""
        self._share_from, self._share_goal = self._share, share * _ONE
        self._share_began, self._share_ms = now, ms
        if not ms:
            self._share = self._share_goal
        self._stale = True

    def rules_changed(self):
        """The rules have changed: build the tables again."""
        self._build_tables()
        self.stage.pick_up = self.pick_up if LATEST in self.settings["rules"].values() else None

    def holder(self, place):
        """Who holds the fixture at a place of the rig: BY_FEED, BY_POCKET or BY_BOTH of feed_tables.py."""
        return self._winners[place] if self._share else BY_POCKET

    def holds(self):
        """True while the feed has a share in the frame."""
        return self._share > 0

    def own_light(self, now):
        """Let go of a feed that was lost: the light is the pocket's, in the time of the fade back."""
        if self.state == LOST:
            self.set_share(now, 0, self.settings["back_ms"])

    def rule(self, fixture):
        """The rule of a fixture: HIGHEST, LATEST, POCKET or FEED of feed_tables.py."""
        return self.settings["rules"].get(fixture.uid, 0)

    def set_rule(self, now, fixture, rule):
        """Give a fixture another rule; the light fades to what follows from it. The settings are not saved."""
        self.settings["rules"].pop(fixture.uid, None)
        if rule:
            self.settings["rules"][fixture.uid] = rule
        self.fade(now, self.settings["back_ms"])
        self.rules_changed()

    def take_over(self, now, on):
        """Take the feed over (on true), or only watch it. The settings are not saved."""
        self.settings["on"] = 1 if on else 0
        self.fade(now, self.settings["back_ms"])
        self.set_share(now, 1 if on and self.state != NONE else 0, 0)

    def pick_up(self, fixture):
        """The stage's user is about to move a fixture. Where the latest move counts and the feed holds the fixture, the
        stage takes its light as it is on the line, so that it does not jump."""
        stage, place = self.stage, self.stage.show.rig.fixtures.index(fixture)
        if self._share and self.rule(fixture) == LATEST and self._holders[place] == BY_FEED:
            light = once("firmware.show.resolve_back", "read", fixture, self.frame, *stage.trims(fixture))
            stage.set_fade(fixture, light, light, 0, 0, 0)

    def play(self, now, player):
        """Let a capture take the place of the source. player: a CapturePlayer; None ends it, in the time of the fade
        back. Errors: MemoryError, for the limiter on flashing; then nothing has changed."""
        self._set_limit(player is not None)
        self.fade(now, player.fade_in_ms if player else self.settings["back_ms"])
        self.player = player
        self.set_share(now, 1 if player or self.state == LIVE and self.settings["on"] else 0, 0)

    def is_live(self):
        """True while packets come in."""
        return self.state == LIVE

    def is_lost(self):
        """True from the loss of the feed until it is back."""
        return self.state == LOST

    def is_still(self):
        """True where the line has the stage's frame, and nothing of the feed fades."""
        return self.frame == self.stage.frame and not (self._fade_ms or self._share or self._share_goal)

    def word(self):
        """What the feed does, in a word or two; "" where it does nothing."""
        if self.lit:
            return "feed lit"
        if self.recorder and self.recorder.number:
            return "recording"
        if self.player:
            return "paused" if self.player.paused else "plays"
        if not self.settings["on"] or self.state == NONE:
            return ""
        return getattr(self.source, "feed_word", "feed") if self.state == LIVE else "feed lost"

    def record(self, recorder):
        """Give every packet from now on to a recorder; None: no more."""
        self.recorder = recorder
        if self.source:
            self.source.every = recorder is not None

    # --- inside ---

    def _set_limit(self, on):
        """Load the limiter on flashing, or let it go. Errors: MemoryError."""
        if on and not self._limit:
            built = once("firmware.stage.flash_rows_build", "build", self.stage.show.rig, self.stage.patch, True)
            gc.collect()  # as effects.py
            self._limit_part = Part("firmware.stage.flash_limiter")
            limit = self._limit_part.make("Limiter", self.stage, True, built)
            self._held, self._passing = bytearray(self.frame), bytearray(self.frame)
            self._passed = bytearray(self.packet)
            self._limit = limit
        elif self._limit and not on:
            if self.stage.effects and self.stage.effects.limit:
                self.stage.effects.limit.also = None
            self._limit = self._held = self._passing = self._passed = None
            self._limit_part.close()

    def _arrived(self, now):
        """The first packet, or the first after a loss."""
        on = self.settings["on"] and not self.player
        if self.state == LOST:
            self.message = "The feed is back"
        elif on:
            self.message = "A feed came in: Light says which lamps it holds"
        self.asks = False
        self.state, self.since = LIVE, now
        if on:
            self.fade(now, self.settings["back_ms"])
            self.set_share(now, 1, 0)

    def _lost(self, now):
        self.state, self.since = LOST, now
        self.losses += 1
        if self.player:  # it plays in place of the feed; at its end the light is the pocket's
            return
        if not self._share:
            self.message = "Feed lost: no lamp had its light from it"
            return
        self.message, self.asks = "Push: own light. Feed lost, its last frame stays", True
        look = self.stage.show.looks.name_of(self.settings["lost"])
        if not look:
            return
        ms = self.settings["lost_ms"]
        self.asks = False
        try:
            self.stage.go(look, ms / 1000)
        except ValueError as e:
            self.message, self.asks = "Push: own light. Feed lost: %s" % e.args[0], True
            return
        self.message = "Feed lost: to %s in %g s" % (look, ms / 1000)
        self.set_share(now, 0, ms)

    def _step_recorder(self, now):
        recorder = self.recorder
        recorder.step(now)
        if recorder.full:
            self.message = recorder.message
            self.record(None)

    def _step_player(self, now):
        """Take the frame of the capture that plays -> True where it is new."""
        player = self.player
        fresh = player.step(now)
        if fresh:
            self._take(player.frame, player.count, now)
        if player.message:
            self.message, player.message = player.message, ""
        if player.ended:
            self.play(now, None)
        elif player.fading and self._share_goal:
            self.set_share(now, 0, player.fade_out_ms)
        return fresh

    def _build_tables(self):
        """Build the tables of feed_tables.py for the rig and the rules. Who holds a fixture stays."""
        rig = self.stage.show.rig
        self._rig_changes = rig.changes
        (self._fixtures, self._channels, self._unpatched, self._uids, self._change_times, self._holders) = once(
            "firmware.stage.feed_tables_build", "build", rig, self.settings["rules"], self._uids,
            self._change_times, self._holders)
        self._winners = bytearray(self._holders)
        self._held_by = bytearray(self._holders)  # as the last step saw it
        self._handed_ms = array("i", [0] * len(self._holders))  # when a fixture was last handed over, 0: never
        self._stale = True
        if self._limit:
            self._limit.repatch(self.stage, True)
        if len(self.frame) != len(self.stage.frame):
            self._fit(len(self.stage.frame))

    def _fit(self, slots):
        """The stage's frame has another length: so have all others."""
        self.frame, self.packet = _fitted(self.frame, slots), _fitted(self.packet, slots)
        self._pocket, self._left = _fitted(self._pocket, slots), _fitted(self._left, slots)
        self._fade_from = _fitted(self._fade_from, slots)
        if self._limit:
            self._held, self._passing = _fitted(self._held, slots), _fitted(self._passing, slots)
            self._passed = _fitted(self._passed, slots)


def _fitted(frame, slots):
    """The slots of a frame in a new one of that length."""
    out = bytearray(slots)
    out[:] = (bytes(frame) + bytes(slots))[:slots]
    return out


def _part(done, whole):
    """done / whole as 0..65536, whole up to 600,000: no int above 2**30."""
    done <<= 10
    return (done // whole << 6) + (done % whole << 6) // whole
