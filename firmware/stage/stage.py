"""What is happening now: where every fade is, master and blackout -> one frame. Made by the app for the show that is
on.

Time is handed in: `step(now)` in ms. What is on is light; slots are made in the tick (tick_loops.py) from the patch,
the rig as arrays (patch_fields.py). What the pages ask of the stage is in stage_verbs.py, what a restart brings back in
state_write.py and state_read.py; stage_fades.py sends fixtures on to other light.
"""

from firmware.parts import Part, once
from firmware.show.fixture_light import EXTRAS, LEVEL, PARAMS, SCALE
from firmware.stage import fade, stage_fades, stage_verbs
from firmware.stage import patch_fields as fields

try:
    from firmware.stage.tick_loops_viper import compose, move
except (ImportError, SyntaxError, NameError):  # a port without native code; CPython knows no ptr32
    from firmware.stage.tick_loops import compose, move


class Stage:
    """The stage of one show. `frame`: its slots, 512, or 1024 where a lamp is in the second universe. `changed`: the
    last step changed a slot. `message`: what the last verb could not do as asked, in words. `faults`: trims that could
    not be used, in words."""

    # Functions with the stage as their first argument.
    aim, work, land, finish = stage_fades.aim, stage_fades.work, stage_fades.land, stage_fades.finish
    dial, dial_level, shift = stage_verbs.dial, stage_verbs.dial_level, stage_verbs.shift
    level_of = stage_verbs.level_of
    present, store, go, fade_to = stage_verbs.present, stage_verbs.store, stage_verbs.go, stage_verbs.fade_to
    crossfade, crossfade_at = stage_verbs.crossfade, stage_verbs.crossfade_at

    def __init__(self, show, later=False):
        """later: whoever makes it sends all to other light at once, and calls finish() when that is done."""
        self.show = show
        self.frame = b""
        self.changed = True
        self.blackout = False
        self.full = False  # all lamps at full for focusing, until let go
        self.solo = False  # the lamps that are marked as DARK are out until let go (light_solo.py)
        self.edited = False  # the light was changed by hand since it was stored as a look, or came from one
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
        self.lags = self._lags_part = None  # what holds fast lamps back in fades (lags.py)
        self._lag = 0  # ms that the stage's time is behind the time that is handed in
        self._gone = {}  # uid: light, of fixtures that were taken out of the rig
        self.job = None  # what is being worked out: fade.work
        self.led = False  # fade.lead has seen all fades
        self.cut = False  # a cut is being prepared
        self.cut_runs = None  # the slots of nobody that come with it
        self.busy = False  # colours are being worked out
        self.solves = 0  # how often something was worked out, for those who count
        self._rig_changes = -1
        self._laid = False  # the rig changed, and its frame was not made yet
        self._patch = None
        self._rebuild()
        if not later:
            self.finish()

    # --- the tick ---

    def step(self, now):
        """Bring the light to time `now` (ms) and make the frame. Sets and returns `changed`."""
        self._follow_rig()
        past = now - self._lag - self.time
        if self.paused:
            self._lag = now - self.time
        self.time = now - self._lag
        if self.lags:
            self.lags.step(self._patch, self.time, past)
        task = self.move()
        if self.cut and task < fields.WAITS:
            self.land()
            self.move()
            task = 0  # the rest has time until the next step
        self.busy = task > 0
        if self.effects:
            self.effects.follow(now)
        if fields.LATE <= task < fields.WAITS:  # by hand above all: the light follows at once where it can
            self.work(task)
            task = 0
        self.make()
        if self._laid:
            self._laid, self.changed = False, True
        if self.raw and self.raw.step(self.time, self.frame):
            self.changed = True
        if task:
            self.work(task)
        elif self._patch.led and not self.busy and not self.job:
            self._patch.led = {}  # nothing is to be shared any more
            self.led = False
        if self.effects:
            self.effects.tidy(now)
        return self.changed

    def move(self):
        """First half of the tick: where every fade is. Never allocates. Returns what is to be worked out, see
        tick_loops.move."""
        patch = self._patch
        common = patch.common
        common[fields.NOW] = self.time
        common[fields.MASTER] = self.master_units
        common[fields.MODE] = 2 if self.blackout else 1 if self.full else 3 if self.solo else 0
        return move(common, patch.fades, patch.setups, patch.channels, patch.tables)

    def resting_frame(self, out):
        """Fill `out`, a bytearray as long as `frame`, with the frame that will be on when all running fades have ended.

        Held fades and a crossfade by hand are taken where they are, master and blackout as they are; effects, feed,
        solo and all at full are left out. Returns False where that frame is not known yet: ask again later.
        """
        p, full, solo = self.patch, self.full, self.solo
        self.full = self.solo = False
        self.move()
        self.full, self.solo = full, solo
        fades, setups, channels = p.fades, p.setups, p.channels
        ended, h = [], 0
        for o in range(0, len(fades), fields.FADE):
            if fades[o + fields.DONE] == fields.ONE or fades[o + fields.LENGTH] and (
                    not self.paused or fades[o + fields.START] == fields.NEVER):
                if not channels[setups[h + fields.CHANNELS_AT] + fields.END]:
                    return False
                if self.effects or fades[o + fields.LENGTH]:  # else it shows its end already
                    ended.append(o)
            h += fields.SETUP
        for o in ended:
            h = o // fields.FADE * fields.SETUP
            setups[h + fields.CHANNELS_AT] += 1  # their END in the place of TO
            fades[o + fields.PLACE] = fades[o + fields.WHITE_PLACE] = fields.ONE
            level = 0 if self.blackout else fades[o + fields.LEVEL_TO]
            free = setups[h + fields.EXEMPT] & 1
            fades[o + fields.OUTPUT] = level if free else fields.mul16(level, self.master_units)
        out[:] = bytes(len(out))
        compose(p.common, fades, setups, channels, p.tables, out)
        for o in ended:
            setups[o // fields.FADE * fields.SETUP + fields.CHANNELS_AT] -= 1
        self.move()
        if self.raw:
            self.raw.rest(out, self.paused)
        return True

    def make(self):
        """Second half of the tick: the frame. Never allocates."""
        p = self._patch
        if self.effects:
            self.changed = self.effects.make(p, self.frame)
        else:
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
        if param == "level":
            return self.level_of(fixture) / fields.ONE
        p = PARAMS.index(param)
        return self.light(fixture)[p] / SCALE[p]

    def miss(self, fixture):
        """How far the lamp's colour is from the one asked for, CIE 1976 u'v'; 0 where it can give it."""
        return self._patch.miss[self.place(fixture)]

    def left(self):
        """Milliseconds until the last running fade ends; 0 when nothing moves by itself."""
        fades, most = self.patch.fades, self.raw.left(self.time) if self.raw else 0
        for o in range(0, len(self.show.rig) * fields.FADE, fields.FADE):
            if fades[o + fields.LENGTH] and fades[o + fields.START] < fields.NEVER:
                most = max(most, 1, fades[o + fields.START] + fades[o + fields.LENGTH] - self.time)
        return most or int(self.cut)

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
        if fades[o + fields.START] == fields.NEVER and fades[o + fields.LENGTH]:  # a cut counts as done
            light = fade.light(patch, i, fields.LIGHT_TO)
            return light, light, 0, 0, fade.LINEAR
        if fades[o + fields.LENGTH] and fades[o + fields.DONE] < fields.ONE:
            return (fade.light(patch, i, fields.LIGHT_FROM), fade.light(patch, i, fields.LIGHT_TO),
                    fades[o + fields.START], fades[o + fields.LENGTH],
                    patch.setups[i * fields.SETUP + fields.CURVE] & 1)
        light = self.light(fixture)
        return light, light, 0, 0, fade.LINEAR

    def set_fade(self, fixture, start_light, end_light, start, length, curve):
        """Set a fixture where it was: what `fade_of` gave."""
        done = min(fields.ONE, max(0, self.time - start) * 1024 // length * 64) if length else fields.ONE
        self._begin(fixture, start_light if length else end_light, end_light, start, length, curve, done)

    def put_fixture(self, fixture, light):
        """Give a fixture a light at once."""
        self.edited = True
        if self.pick_up:
            self.pick_up(fixture)
        if fixture in self.by_hand:
            self.by_hand.remove(fixture)
        self._follow_rig()
        self.touched.add(fixture.uid)
        self._begin(fixture, light, light, 0, 0, fade.LINEAR, fields.ONE)

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
        self._watch_lags(())
        for part in self._patch.parts:
            part.close()

    # --- inside ---

    def _begin(self, fixture, a, b, start, length, curve, done):
        fade.begin(self.patch, self.place(fixture), fixture, a, b, start, length, curve, done)
        self.forget()

    def forget(self):
        """A fade is another now: what is being worked out may be for nothing."""
        self.job, self.led = None, False

    def _follow_rig(self):
        if self._rig_changes != self.show.rig.changes:
            self._rebuild()

    def _rebuild(self):
        """The rig changed: new arrays. Running fades go on where they are."""
        rig = self.show.rig
        self._rig_changes = rig.changes
        self._laid = True
        self._patch = once("firmware.stage.patch_build", "build", rig, self._patch, self._gone)
        self.faults = self._patch.faults
        self._watch_lags(rig.fixtures)
        self.forget()
        self.by_hand = [f for f in self.by_hand if f.uid in self._patch.places]
        slots = rig.slots()
        if len(self.frame) != slots:
            self.frame = bytearray(slots)
        for i in range(slots):
            self.frame[i] = 0
        if self.raw:
            self.raw.lay(rig)
        if self.effects:
            self.effects.repatch()

    def _watch_lags(self, fixtures):
        """Only a rig in which a lamp has a lag has the code for it."""
        self.lags = None
        if any("lag" in f.trims for f in fixtures):
            self._lags_part = self._lags_part or Part("firmware.stage.lags")
            self.lags = self._lags_part.make("Lags", len(fixtures))
        elif self._lags_part:
            self._lags_part.close()
            self._lags_part = None
