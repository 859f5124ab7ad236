"""What is happening now: where every fade is, master and blackout -> one frame. Made by the app for the show that is
on.

Time is handed in: `step(now)` in ms. What is on is light; slots are made in the tick (tick_loops.py) from the patch,
the rig as arrays (patch_fields.py). What the pages ask of the stage is in stage_verbs.py, what a restart brings back in
state_write.py and state_read.py.
"""

from firmware.parts import Part, once
from firmware.show.fixture_light import EXTRAS, LEVEL, PARAMS, SCALE
from firmware.stage import fade, stage_verbs
from firmware.stage import patch_fields as fields
from firmware.universe import SLOTS

try:
    from firmware.stage.tick_loops_viper import compose, move
except (ImportError, SyntaxError, NameError):  # a port without native code; CPython knows no ptr32
    from firmware.stage.tick_loops import compose, move


class Stage:
    """The stage of one show. `frame`: its slots. `changed`: the last step changed a slot. `message`: what the last verb
    could not do as asked, in words. `faults`: trims that could not be used, in words."""

    # The verbs: functions with the stage as their first argument.
    dial, dial_level, shift = stage_verbs.dial, stage_verbs.dial_level, stage_verbs.shift
    present, store, go, fade_to = stage_verbs.present, stage_verbs.store, stage_verbs.go, stage_verbs.fade_to
    crossfade, crossfade_at = stage_verbs.crossfade, stage_verbs.crossfade_at

    def __init__(self, show):
        self.show = show
        self.frame = bytearray(SLOTS)
        self.changed = True
        self.blackout = False
        self.full = False  # all lamps at full for focusing, until let go
        self.curve = fade.LINEAR  # of the fades to come
        self.message = ""
        self.master_units = fields.ONE  # share of every intensity, 0..65536
        self.touched = set()  # uids of fixtures asked for other light (0: raw slots), until state_write.py takes them
        self.look_number = 0  # of the look last gone to or stored, 0: none
        self.time = 0  # ms, the stage's own: it stands while fades are held
        self.paused = False  # fades are held
        self.by_hand = []  # fixtures of a crossfade by hand
        self.raw = self._raw_part = None  # slots of nobody that a look holds (raw_slots.py), and their code
        self.pick_up = None  # called with a fixture before it is asked for other light (feed.py)
        self.effects = None  # those that are on (effects.py)
        self._lag = 0  # ms that the stage's time is behind the time that is handed in
        self._gone = {}  # uid: light, of fixtures that were taken out of the rig
        self._planned = 0  # how many keyed fixtures are known to have their next keyframe
        self._rig_changes = -1
        self._patch = None
        self._rebuild()

    # --- the tick ---

    def step(self, now):
        """Bring the light to time `now` (ms) and make the frame. Sets and returns `changed`."""
        self._follow_rig()
        if self.paused:
            self._lag = now - self.time
        self.time = now - self._lag
        if self.move():
            self._plan()
        if self.effects:
            self.effects.follow(now)
        self.make()
        if self.raw and self.raw.step(self.time, self.frame):
            self.changed = True
        self._plan_ahead()
        if self.effects:
            self.effects.tidy(now)
        return self.changed

    def move(self):
        """First half of the tick: where every fade is. Never allocates. Returns 1 if a keyframe is due."""
        patch = self._patch
        common = patch.common
        common[fields.NOW] = self.time
        common[fields.MASTER] = self.master_units
        common[fields.MODE] = 2 if self.blackout else 1 if self.full else 0
        return move(common, patch.fades, patch.setups, patch.tables)

    def resting_frame(self, out):
        """Fill `out`, a bytearray of 512 slots, with the frame that will be on when all running fades have ended.

        Held fades and a crossfade by hand are taken where they are, master and blackout as they are; effects, the feed
        and all at full are left out. Returns False where that frame is not known yet: ask again later.
        """
        self._follow_rig()
        patch = once("firmware.stage.resting_patch", "build", self)
        common = patch.common
        common[fields.MASTER] = self.master_units
        common[fields.MODE] = 2 if self.blackout else 0
        for i in range(SLOTS):
            out[i] = 0
        move(common, patch.fades, patch.setups, patch.tables)
        compose(common, patch.fades, patch.setups, patch.channels, patch.tables, out)
        if self.raw:
            self.raw.rest(out, self.paused)
        return True

    def make(self):
        """Second half of the tick: the frame. Never allocates."""
        p = self._patch
        if self.effects:
            self.effects.apply(p)
        self.changed = compose(p.common, p.fades, p.setups, p.channels, p.tables, self.frame) > 0

    # --- what is on ---

    @property
    def master(self):
        """Share of every intensity, 0..1."""
        return self.master_units / fields.ONE

    @master.setter
    def master(self, share):
        self.master_units = max(0, min(fields.ONE, int(share * fields.ONE + 0.5)))

    @property
    def look(self):
        """The name of the look last gone to or stored, "" without one."""
        return self.show.looks.name_of(self.look_number)

    @property
    def patch(self):
        """The arrays of the rig (patch_fields.py), up to date."""
        self._follow_rig()
        return self._patch

    def place(self, fixture):
        """The place of a fixture in the rig and in the arrays."""
        return self._patch.places[fixture.uid]

    def changes_of(self, place):
        """A number that is another one once the fixture at that place of the rig is dialled or sent to another
        light."""
        return self._patch.setups[place * fields.SETUP + fields.CHANGES]

    def light(self, fixture):
        """The light of a fixture at this moment, before the master: a list (fixture_light.py) that is the caller's."""
        patch, i = self.patch, self.place(fixture)
        done = patch.fades[i * fields.FADE + fields.DONE]
        goal = fade.light(patch, i, fields.LIGHT_TO)
        if done >= fields.ONE:
            goal[EXTRAS] = dict(goal[EXTRAS])
            return goal
        out = fade.between(fade.light(patch, i, fields.LIGHT_FROM), goal, done)
        out[LEVEL] = patch.fades[i * fields.FADE + fields.LEVEL]
        return out

    def value(self, fixture, param):
        """One parameter of a fixture now, in its unit (level and sat 0..1, cct K, duv, hue degrees)."""
        p = PARAMS.index(param)
        return self.light(fixture)[p] / SCALE[p]

    def miss(self, fixture):
        """How far the lamp's colour is from the one asked for, CIE 1976 u'v'; 0 where it can give it."""
        return self._patch.miss[self.place(fixture)]

    def left(self):
        """Milliseconds until the last running fade ends; 0 when nothing moves by itself."""
        fades, most = self.patch.fades, self.raw.left(self.time) if self.raw else 0
        for o in range(0, len(self.show.rig) * fields.FADE, fields.FADE):
            if fades[o + fields.LENGTH]:
                most = max(most, fades[o + fields.START] + fades[o + fields.LENGTH] - self.time)
        return most

    def trims(self, fixture):
        """(dimming map, white map) of a fixture as resolve_back.read takes them; None where it has none."""
        patch, i = self.patch, self.place(fixture)
        at = patch.setups[i * fields.SETUP + fields.CURVE_AT]
        return patch.tables[at:at + fields.CURVE_SIZE] if at else None, patch.whites.get(i)

    def pause(self, paused):
        """Hold all running fades where they are, or let them go on."""
        self.paused = bool(paused)

    # --- fades as they are, for what keeps them ---

    def set_time(self, now, time):
        """Let the stage's own time be `time` at time `now`."""
        self.time = time
        self._lag = now - time

    def fade_of(self, fixture):
        """(from, to, start, length, curve) of a fixture: two lights, ms of the stage's time. Length 0: it stands."""
        patch, i = self.patch, self.place(fixture)
        o, fades = i * fields.FADE, patch.fades
        if fades[o + fields.LENGTH] and fades[o + fields.DONE] < fields.ONE:
            return (fade.light(patch, i, fields.LIGHT_FROM), fade.light(patch, i, fields.LIGHT_TO),
                    fades[o + fields.START], fades[o + fields.LENGTH], patch.setups[i * fields.SETUP + fields.CURVE])
        light = self.light(fixture)
        return light, light, 0, 0, fade.LINEAR

    def set_fade(self, fixture, start_light, end_light, start, length, curve):
        """Set a fixture where it was: what `fade_of` gave."""
        fade.begin(self.patch, self.place(fixture), fixture, start_light if length else end_light, end_light, start,
                   length, curve)

    def move_fixture(self, fixture, light, start, length, curve):
        """Send a fixture to a light from the one that it shows, in ms of the stage's time; length 0: at once."""
        if self.pick_up:
            self.pick_up(fixture)
        if fixture in self.by_hand:
            self.by_hand.remove(fixture)
        self._follow_rig()
        self.touched.add(fixture.uid)
        begin = self.light(fixture) if length else light
        fade.begin(self._patch, self.place(fixture), fixture, begin, light, start, length, curve)
        self._planned = 0

    def move_raw(self, runs, length):
        """Move the slots of nobody to runs, as looks hold them, in ms; None: by hand."""
        if self.raw is None:
            # Only looks that were grabbed have raw slots; the code then stays until the show is closed.
            self._raw_part = Part("firmware.stage.raw_slots")
            self.raw = self._raw_part.make("RawSlots", self.show.rig)
        self.raw.begin(runs, self.time, length)
        self.touched.add(0)

    def close(self):
        """The show gives way to another: let go of the code that was loaded for it."""
        if self.raw:
            self.raw = None
            self._raw_part.close()

    # --- inside ---

    def _plan(self):
        """Give every keyed fixture that has reached its next segment that segment."""
        patch, fixtures = self._patch, self.show.rig.fixtures
        for i in patch.keyed:
            h = i * fields.SETUP
            if patch.setups[h + fields.SEGMENT_DUE] != patch.setups[h + fields.SEGMENT]:
                fade.plan(patch, i, fixtures[i])
                self._planned = 0

    def _plan_ahead(self):
        """One keyframe a step, so that no step has to work out many at once."""
        patch = self._patch
        while self._planned < len(patch.keyed):
            i = patch.keyed[self._planned]
            several = patch.setups[i * fields.SETUP + fields.SEGMENTS] > 1
            if several and fade.plan_ahead(patch, i, self.show.rig.fixtures[i]):
                return
            self._planned += 1

    def _follow_rig(self):
        if self._rig_changes != self.show.rig.changes:
            self._rebuild()

    def _rebuild(self):
        """The rig changed: new arrays. Running fades go on where they are."""
        rig = self.show.rig
        self._rig_changes = rig.changes
        self._patch = once("firmware.stage.patch_build", "build", rig, self._patch, self._gone)
        self.faults = self._patch.faults
        self.by_hand = [f for f in self.by_hand if f.uid in self._patch.places]
        for i in range(SLOTS):
            self.frame[i] = 0
        if self.raw:
            self.raw.lay(rig)
        if self.effects:
            self.effects.repatch()
