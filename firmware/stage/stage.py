"""What is happening now: dialled light, fades, master and blackout -> one frame. The pages and the app call its verbs.

Time is handed in: `step(now)` in ms. What is on is light; bytes are made in the tick (blend.py) from the patch.
"""

from firmware.light import level as levels
from firmware.parts import Part, once
from firmware.show.personality import LEVEL, LIMITS, MIX, PARAMS, SAT, SCALE
from firmware.stage import fade
from firmware.stage import patch_fields as fields

try:
    from firmware.stage.tick_loops_viper import compose, move
except (ImportError, SyntaxError, NameError):  # a port without native code; CPython knows no ptr32
    from firmware.stage.tick_loops import compose, move

LINEAR, SOFT = 0, 1
LONGEST = 600


class Stage:
    """The stage of one show. `frame`: the 512 slots. `changed`: the last step changed a slot."""

    def __init__(self, show):
        self.show = show
        self.frame = bytearray(512)
        self.changed = True
        self.blackout = False
        self.full = False  # all lamps at full for focusing, until let go
        self.curve = LINEAR
        self.note = ""  # what the last verb could not do as asked, in words
        self._master = fields.ONE
        self.touched = set()  # uids of fixtures asked for other light (0: raw slots), until kept.py takes them
        self.look_number = 0  # of the look last gone to or stored, 0: none
        self._gone = {}  # uid: light, of fixtures that were taken out of the rig
        self._now = 0
        self._skew = 0
        self._paused = False
        self._hand = []  # fixtures of a crossfade by hand
        self.faults = []  # trims that could not be used, in words
        self.raw = None  # slots of nobody that a look holds (raw.py)
        self.pick_up = None  # called with a fixture before it is asked for other light (feed.py)
        self.effects = None  # those that are on (effects.py)
        self._ahead = 0
        self._rig_changes = -1
        self._patch = None
        self._repatch()

    # --- the tick ---

    def step(self, now):
        """Bring the light to time `now` (ms) and make the frame. Sets and returns `changed`."""
        self._catch_up()
        if self._paused:
            self._skew = now - self._now
        self._now = now - self._skew
        if self.move():
            self._plan()
        if self.effects:
            self.effects.follow(now)
        self.make()
        if self.raw and self.raw.step(self._now, self.frame):
            self.changed = True
        self._plan_ahead()
        if self.effects:
            self.effects.tidy(now)
        return self.changed

    def move(self):
        """First half of the tick: where every fade is. Never allocates. Returns 1 if a keyframe is due."""
        par = self._patch.par
        par[fields.NOW] = self._now
        par[fields.MASTER] = self._master
        par[fields.MODE] = 2 if self.blackout else 1 if self.full else 0
        return move(par, self._patch.fx, self._patch.fh, self._patch.tables)

    def make(self):
        """Second half of the tick: the frame. Never allocates."""
        p = self._patch
        if self.effects:
            self.effects.apply(p)
        self.changed = compose(p.par, p.fx, p.fh, p.ch, p.tables, self.frame) > 0

    # --- what is on ---

    @property
    def master(self):
        """Share of every intensity, 0..1."""
        return self._master / fields.ONE

    @master.setter
    def master(self, share):
        self._master = max(0, min(fields.ONE, int(share * fields.ONE + 0.5)))

    @property
    def master_units(self):
        """The master as it is kept: 0..65536."""
        return self._master

    @master_units.setter
    def master_units(self, units):
        self._master = units

    @property
    def look(self):
        """The name of the look last gone to or stored, "" without one."""
        return self.show.looks.name_of(self.look_number)

    def light(self, fixture):
        """The light of a fixture at this moment, before the master: (six ints, extras)."""
        self._catch_up()
        patch, i = self._patch, self._place(fixture)
        u = patch.fx[i * fields.STRIDE + fields.U]
        b = fade.light(patch, i, fields.LIGHT_B)
        if u >= fields.ONE:
            return b[0], dict(b[1])
        a = fade.light(patch, i, fields.LIGHT_A)
        out = fade.between(a[0], b[0], u)
        out[LEVEL] = patch.fx[i * fields.STRIDE + fields.LEVEL]
        return out, {k: a[1].get(k, 0) + (v - a[1].get(k, 0)) * u // fields.ONE for k, v in b[1].items()}

    def value(self, fixture, param):
        """One parameter of a fixture now, in its unit (level and sat 0..1, cct K, duv, hue degrees)."""
        p = PARAMS.index(param)
        return self.light(fixture)[0][p] / SCALE[p]

    def ends(self, fixture):
        """Where a fixture's fade comes from and goes to: two lists of six ints, the same when it stands."""
        i = self._place(fixture)
        return fade.light(self._patch, i, fields.LIGHT_A)[0], fade.light(self._patch, i, fields.LIGHT_B)[0]

    def way_of(self, place):
        """A number that is another one once the fixture at that place of the rig is dialled or sent elsewhere."""
        return self._patch.fh[place * fields.HALF + fields.WAY]

    @property
    def patch(self):
        """The arrays of the rig (patch.py), for effects.py."""
        return self._patch

    def miss(self, fixture):
        """How far the lamp's colour is from the one asked for, CIE 1976 u'v'; 0 where it can give it."""
        return self._patch.miss[self._place(fixture)]

    def left(self):
        """Milliseconds until the last running fade ends; 0 when nothing moves by itself."""
        self._catch_up()
        fx, most = self._patch.fx, self.raw.left(self._now) if self.raw else 0
        for o in range(0, len(self.show.rig) * fields.STRIDE, fields.STRIDE):
            if fx[o + fields.LENGTH]:
                most = max(most, fx[o + fields.START] + fx[o + fields.LENGTH] - self._now)
        return most

    def trims(self, fixture):
        """(dimming map, white map) of a fixture as readback.read takes them; None where it has none."""
        self._catch_up()
        patch, i = self._patch, self._place(fixture)
        at = patch.fh[i * fields.HALF + fields.TABLE]
        return patch.tables[at:at + 66] if at else None, patch.whites.get(i)

    # --- dialling ---

    def dial(self, fixture, **asked):
        """Ask light of one fixture at once: level=, mix=, sat= (0..1), cct= (K), duv=, hue= (degrees), and raw
        channels by name (0..65535). fixture: a Fixture or a name. What it asks beyond LIMITS is held there.

        A saturation above 0 turns the colour on (mix 1) where it was off. Errors: KeyError: no such fixture or
        channel.
        """
        if isinstance(fixture, str):
            fixture = self.show.rig.find(fixture)
        if self.pick_up:
            self.pick_up(fixture)
        light, extras = self.light(fixture)
        for name, value in asked.items():
            if name in PARAMS:
                self._set(light, PARAMS.index(name), value)
            elif name in fixture.personality.extras():
                extras[name] = max(0, min(65535, int(value)))
            else:
                raise KeyError("%s has no %s" % (fixture.name, name))
        if "sat" in asked and "mix" not in asked:
            light[MIX] = (light[MIX] or SCALE[MIX]) if light[SAT] else 0
        self._at_once(fixture, light, extras)

    def turn(self, fixtures, param, amount):
        """Dial several at once, by difference: level in stops (ratios stay, so all stop where one hits its end), cct
        in mired, else in the parameter's unit. `note` says who hit an end."""
        self.note = ""
        if self.pick_up:
            for f in fixtures:
                self.pick_up(f)
        if param == "level":
            self._turn_levels(fixtures, amount)
            return
        for f in fixtures:
            now = self.value(f, param)
            if param == "cct":
                self.dial(f, cct=1e6 / max(1, 1e6 / now + amount))
            elif param == "hue":
                self.dial(f, hue=(now + amount) % 360)
            elif param in PARAMS:
                self.dial(f, **{param: now + amount})

    def _turn_levels(self, fixtures, stops):
        now = [self.light(f)[0][LEVEL] / fields.ONE for f in fixtures]
        new, hit = levels.dial_stops(now, stops)
        if hit is not None:
            self.note = "%s is %s" % (fixtures[hit].name, "full" if stops > 0 else "as low as it goes")
            if stops < 0 and len(fixtures) == 1 and new[0] >= now[0]:  # one turn below the darkest is off
                new, self.note = [0], ""
        for f, x in zip(fixtures, new):
            self.dial(f, level=x)

    def _set(self, light, p, value):
        value = int(round(value * SCALE[p]))
        light[p] = max(LIMITS[p][0], min(LIMITS[p][1], value))

    def _at_once(self, fixture, light, extras):
        patch, i = self._patch, self._place(fixture)
        fx, o = patch.fx, i * fields.STRIDE
        old, far = fade.light(patch, i, fields.LIGHT_B)
        still = fx[o + fields.U] == fields.ONE and patch.fh[i * fields.HALF + fields.SEGMENTS] == 1
        if still and light[1:] == old[1:] and extras == far:  # only the level: no colour to solve again
            fade.keep(patch, i, (light, extras), (light, extras))
            self.touched.add(fixture.uid)
            return
        self._move(fixture, (light, extras), 0, 0, LINEAR)

    # --- looks and fades ---

    def present(self, fixtures=None):
        """{uid: [six ints, extras]} of the light that is on, as a look keeps it."""
        out = {}
        for f in fixtures or self.show.rig.fixtures:
            light, extras = self.light(f)
            out[f.uid] = light + [extras]
        return out

    def store(self, name, fixtures=None, seconds=2):
        """Keep the light that is on as a look, of all fixtures or of those given. Errors: as Looks.store."""
        self.look_number = self.show.looks.store(name, self.present(fixtures), int(seconds * 1000))

    def go(self, look, seconds=None):
        """Fade to a look (a name) in 0..600 s; None: the look's own time. Starts from the light that is on.

        Fixtures that the look doesn't cover go on as they are. Errors: ValueError: no such look, it is damaged, or
        the time is out of range.
        """
        lights, own = self.show.looks.recall(look)
        length = own if seconds is None else int(round(seconds * 1000))
        if not 0 <= length <= LONGEST * 1000:
            raise ValueError("Fade time %s s: can be 0 to 600" % seconds)
        self.look_number = self.show.looks.number(look)
        self.bring(lights, length)

    def bring(self, lights, length):
        """Fade to light that no look holds: {uid: [six ints, extras]}, in ms from the light that is on."""
        self.pause(False)
        moving = [f for f in self.show.rig.fixtures if f.uid in lights]
        slowest = max([f.trims.get("lag", 0) for f in moving] + [0]) if length else 0
        if 0 in lights:
            self.go_raw(lights[0], length)
        for f in moving:
            item = lights[f.uid]
            self._move(f, (item[:6], item[6]), self._now + slowest - f.trims.get("lag", 0), length, self.curve)

    def cross(self, look):
        """Begin a crossfade by hand from the light that is on to a look. Errors: ValueError."""
        lights, _own = self.show.looks.recall(look)
        hand = [f for f in self.show.rig.fixtures if f.uid in lights]
        if 0 in lights:
            self.go_raw(lights[0], None if hand else 0)
        for f in hand:
            item = lights[f.uid]
            self._move(f, (item[:6], item[6]), 0, LONGEST * 1000, LINEAR)
            self._patch.fx[self._place(f) * fields.STRIDE + fields.LENGTH] = 0
        self._hand = hand

    def hand(self, share=None):
        """Move the crossfade by hand to `share` 0..1 of the way -> where it is. At 1 it is over; None asks only."""
        if not self._hand:
            return 1.0
        if share is not None:
            u = max(0, min(fields.ONE, int(share * fields.ONE + 0.5)))
            for f in self._hand:
                self._patch.fx[self._place(f) * fields.STRIDE + fields.U] = u
            if self.raw:
                self.raw.at(u)
            if u == fields.ONE:
                self._hand = []
                return 1.0
        return self._patch.fx[self._place(self._hand[0]) * fields.STRIDE + fields.U] / fields.ONE

    def pause(self, paused):
        """Hold all running fades where they are, or let them go on."""
        self._paused = bool(paused)

    @property
    def paused(self):
        """True while fades are held."""
        return self._paused

    # --- for kept.py ---

    @property
    def time(self):
        """The stage's own time, ms: it stands while fades are held."""
        return self._now

    def set_time(self, now, own):
        """Let the stage's own time be `own` at time `now`."""
        self._now = own
        self._skew = now - own

    def way(self, fixture):
        """(from, to, start, length, curve) of a fixture: lights as (six ints, extras), ms of the stage's time.
        Length 0: it stands."""
        self._catch_up()
        patch, i = self._patch, self._place(fixture)
        o, fx = i * fields.STRIDE, patch.fx
        start, length, u = fx[o + fields.START], fx[o + fields.LENGTH], fx[o + fields.U]
        if length and u < fields.ONE:
            a, b = fade.light(patch, i, fields.LIGHT_A), fade.light(patch, i, fields.LIGHT_B)
            return a, b, start, length, patch.fh[i * fields.HALF + fields.CURVE]
        b = self.light(fixture)
        return b, b, 0, 0, LINEAR

    def put(self, fixture, a, b, start, length, curve):
        """Set a fixture where it was on its way: what `way` gave."""
        fade.begin(self._patch, self._place(fixture), fixture, a if length else b, b, start, length, curve)

    # --- inside ---

    def go_raw(self, runs, length):
        """Move the slots of nobody to runs, as looks hold them, in ms; None: by hand."""
        if self.raw is None:
            # Only looks that were grabbed have raw slots; the code then stays for good.
            self.raw = Part("firmware.stage.raw_slots").make("RawSlots", self.show.rig)
        self.raw.begin(runs, self._now, length)
        self.touched.add(0)

    def _move(self, fixture, to, start, length, curve):
        if self.pick_up:
            self.pick_up(fixture)
        if fixture in self._hand:
            self._hand.remove(fixture)
        self._catch_up()
        a = self.light(fixture) if length else to
        self.touched.add(fixture.uid)
        fade.begin(self._patch, self._place(fixture), fixture, a, to, start, length, curve)
        self._ahead = 0

    def _plan(self):
        """Give every keyed fixture that has reached its next segment that segment."""
        patch, fixtures = self._patch, self.show.rig.fixtures
        for i in patch.keyed:
            h = i * fields.HALF
            if patch.fh[h + fields.WANTED] != patch.fh[h + fields.SEGMENT]:
                fade.plan(patch, i, fixtures[i])
                self._ahead = 0

    def _plan_ahead(self):
        """One keyframe a step, so that no step has to work out many at once. `_ahead`: how many are known to have
        theirs."""
        patch = self._patch
        while self._ahead < len(patch.keyed):
            i = patch.keyed[self._ahead]
            several = patch.fh[i * fields.HALF + fields.SEGMENTS] > 1
            if several and fade.plan_ahead(patch, i, self.show.rig.fixtures[i]):
                return
            self._ahead += 1

    def _place(self, fixture):
        return self._patch.places[fixture.uid]

    def _catch_up(self):
        if self._rig_changes != self.show.rig.changes:
            self._repatch()

    def _repatch(self):
        """The rig changed: new arrays. Running fades go on where they are."""
        rig = self.show.rig
        self._rig_changes = rig.changes
        self._patch = once("firmware.stage.patch_build", "build", rig, self._patch, self._gone)
        self.faults = self._patch.faults
        self._hand = [f for f in self._hand if f.uid in self._patch.places]
        for i in range(len(self.frame)):
            self.frame[i] = 0
        if self.raw:
            self.raw.lay(rig)
        if self.effects:
            self.effects.repatch()
