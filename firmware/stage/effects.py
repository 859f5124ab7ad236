"""Effects as light, on top of the look that is on: between the stage's move and make. A machine (app_machines.py): it
is there while an effect is on or a page of theirs is open, and each kind's code is there while an effect of it is on.

Level goes straight into the stage's shares, every tick, without allocation. White and colour go the way of all light,
through the personality, as keyframes: one lamp's is worked out in a step, and between two the tick moves evenly.
"""

import gc
from array import array

from micropython import const

from firmware.light import white
from firmware.light.effects.dice import SLOT_MS, Dice
from firmware.parts import Part, once
from firmware.show.effect_fields import ACTS, COLOUR, DEPTH, FADE, KIND, LAMPS, LEVEL, ON, PARAMS, SEED, SEEDS, WHITE
from firmware.show.fixture_light import CCT, HUE, LIMITS, MIX, SAT
from firmware.stage import fade
from firmware.stage import patch_fields as fields
from firmware.stage.patch_fields import mul16

try:
    from firmware.stage.effect_loops_viper import away, begin, hold, keep, mix, put
    from firmware.stage.tick_loops_viper import compose
except (ImportError, SyntaxError, NameError):  # a port without native code; CPython knows no ptr16
    from firmware.stage.effect_loops import away, begin, hold, keep, mix, put
    from firmware.stage.tick_loops import compose

_MOST_SLOTS = const(50)  # of catching up in one tick
_KEY_MS = const(120)  # between two keyframes of a lamp, at least
_KEY_COST_MS = const(16)  # as fade.py
_MOST_RUNS = const(12)  # of one effect: where there are more lamps, every twelfth does the same
_MIREDS = const(150)  # how far an effect at full depth moves the white


class Running:
    """One effect that is on. `effect`: its settings; `lamps`: their places in the rig, an array; `adds`: it adds light
    to the look; `runs`: how many runs it has, one for all lamps or one for each; `gain`: depth and fade, 0..65536."""

    def __init__(self, part, effect, lamps, now):
        """part: the Part of its kind's module, which close() closes."""
        kind = part.module
        self.effect = effect
        self.lamps = lamps
        self.adds = kind.ADDS
        self.runs = min(len(lamps), _MOST_RUNS) if kind.EACH else 1
        self._level = getattr(kind, "level", None)
        self._kelvin = getattr(kind, "kelvin", None)
        seeds = [(effect[SEED] + 101 * n) % SEEDS + 1 for n in range(self.runs)]
        self._generators = [kind.run(Dice(seed), *effect[PARAMS]) for seed in seeds]
        self._values = array("i", [next(run) for run in self._generators])
        self._levels = array("i", self._values) if self._level else None
        self._slot = now
        self.gain = 0
        self.fade_to(effect[DEPTH], now)
        self._part = part

    def close(self):
        """It is off: let its kind's code go."""
        self._part.close()

    def fade_to(self, depth, now):
        """Fade to a depth, per cent, from where it is."""
        self._from, self._to = self.gain, depth * fields.ONE // 100
        self._since, self._length = now, self.effect[FADE]

    def has_ended(self):
        """True when it has faded out."""
        return not self.gain and not self._to

    def move(self, now):
        """Bring it to now, ms. Never allocates."""
        done, length = now - self._since, self._length
        if done >= length:
            self.gain = self._to
        elif done > 0:
            self.gain = self._from + (self._to - self._from) // 64 * (done * 64 // length)
        n = 0
        while now - self._slot >= SLOT_MS:
            self._slot += SLOT_MS
            n += 1
            if n > _MOST_SLOTS:
                self._slot = now
            for k in range(self.runs):
                self._values[k] = next(self._generators[k])

    def mix(self, levels):
        """Let it work on the levels of the rig. Never allocates."""
        values, lamps = self._values, self.lamps
        if self._level:
            values = self._levels
            for k in range(self.runs):
                values[k] = self._level(self._values[k])
        mix(levels, lamps, values, self.runs, self.gain, self.adds, len(lamps))

    def change(self, light, k):
        """Change the white and colour of its k-th lamp's light (six ints). Brighter is cooler, as in flames, unless the
        kind says otherwise."""
        v, acts = self._values[k % self.runs], self.effect[ACTS]
        if acts & WHITE:
            kelvin = light[CCT]
            if self._kelvin:
                kelvin = white.between(kelvin, self._kelvin(v, self.effect[PARAMS]), self.gain / fields.ONE)
            else:
                mireds = _MIREDS * (v if self.adds else v - fields.ONE) * self.gain / fields.ONE / fields.ONE
                kelvin = 1e6 / max(40, 1e6 / kelvin - mireds)
            light[CCT] = max(LIMITS[CCT][0], min(LIMITS[CCT][1], int(kelvin + 0.5)))
        if acts & COLOUR:
            light[HUE] = (light[HUE] + 36000 * v // fields.ONE) % 36000
            if light[MIX] == 0 or light[SAT] == 0:
                light[MIX], light[SAT] = LIMITS[MIX][1], 0
            light[SAT] += mul16(LIMITS[SAT][1] - light[SAT], self.gain)


class Effects:
    """`saved`: all effects of the show, to be read. `running`: those that are on. `limited`: whether flashes are held
    back; `limit`: the limiter, None until the first effect is put on. `message`: lamps that an effect had to leave out,
    in words. `faults`: damage to the file."""

    def __init__(self, stage):
        self.running = []
        self.saved, fault = once("firmware.show.effect_settings", "load", stage.show)
        self.faults = [fault] if fault else []
        self.message = ""
        self._stage = stage
        self._now = 0
        self.limited = True
        self.limit = self._limit_part = None
        self.repatch()

    def close(self):
        """Let the code of those that are on go. The stage must not ask this again."""
        for running in self.running:
            running.close()
        self.running = []
        self._drop_limit()

    def keep_limit(self, on):
        """Limit flashes, or only count them."""
        self.limited = on
        if self.limit:
            self.limit.on = on

    def repatch(self):
        """The rig changed: lamps that are gone leave their effects, the others go on."""
        rig = self._stage.show.rig
        if self.limit:
            self.limit.repatch(self._stage)
        # By place: the level that effects ask for; what they did to it at last, + ONE; 1: one acts on it; where the
        # colour is between two keyframes, as it is shown.
        self._levels, self._places = [array("i", [0] * len(rig)) for _ in range(2)]
        self._did = array("i", [fields.ONE] * len(rig))
        self._on_level = bytearray(len(rig))
        slots = rig.slots()
        self._held, self._wanted = bytearray(slots), bytearray(slots)
        # Of lamps with an effect on white or colour: {place: [(running, number of the lamp in it), ...]}, and by place
        # when the last keyframe was made, how long it takes, and the stage's number for the look's light then.
        self._on_colour = {}
        self._key_made = array("i", [0] * len(rig))
        self._key_length, self._key_changes = [array("H", [0] * len(rig)) for _ in range(2)]
        self._next_key = 0
        for running in self.running:
            running.lamps = array("i", self._lamps(running.effect)[0])
        self._assign()

    def add(self, effect):
        """Save one more. Errors: ValueError: too many; OSError(ENOSPC): nothing changed."""
        once("firmware.show.effect_settings", "save", self._stage.show, self.saved + [effect])
        self.saved.append(effect)

    def remove(self, effect):
        """Take one off and delete it. Errors: OSError(ENOSPC): nothing changed."""
        left = [other for other in self.saved if other is not effect]
        once("firmware.show.effect_settings", "save", self._stage.show, left)
        self.saved = left
        self._take_off(effect)
        self._assign()

    def save(self):
        """Save the settings as they are. Errors: OSError(ENOSPC)."""
        once("firmware.show.effect_settings", "save", self._stage.show, self.saved)

    def resume(self, now):
        """After power-up: put those on that were on -> what cannot be, in words."""
        faults = []
        for effect in self.saved:
            if effect[ON]:
                try:
                    self.start(effect, now)
                except ValueError as e:
                    faults.append(str(e))
        return faults

    def start(self, effect, now):
        """Put an effect on; where it is on already it begins anew. Errors: ValueError: none of its lamps can do it, or
        there is no memory for it."""
        self._take_off(effect)
        try:
            self.running.append(self._begun(effect, now))
        finally:
            if not self.running:
                self._drop_limit()
            self._assign()

    def stop(self, effect, now):
        """Let it fade out."""
        for running in self.running:
            if running.effect is effect:
                running.fade_to(0, now)

    def follow_depth(self, effect, now):
        """Its depth was changed: go there."""
        for running in self.running:
            if running.effect is effect:
                running.fade_to(effect[DEPTH], now)

    def is_on(self, effect):
        """True until it has faded out."""
        return any(running.effect is effect for running in self.running)

    def rate(self):
        """Flashes in the last second, in halves: 3 is one and a half. 0 where no effect has been on yet."""
        return self.limit.changes() if self.limit else 0

    # --- the tick ---

    def follow(self, now):
        """First in the tick: where the look's light was changed under an effect on white or colour, the lamp's light is
        worked out again."""
        self._now = now
        setups = self._stage.patch.setups
        for place in self._on_colour:
            if self._key_changes[place] != self._stage.changes_of(place):
                if setups[place * fields.SETUP + fields.SEGMENTS]:
                    self._make_key(place, now, True)
                elif self._stage.fade_of(self._stage.show.rig.fixtures[place])[3]:
                    # A fade has just begun: the next keyframe goes along with it.
                    setups[place * fields.SETUP + fields.SEGMENTS] = 1
                    self._key_changes[place] = self._stage.changes_of(place)

    def make(self, patch, frame):
        """Between move and make: the frame -> True where a slot changed. Never allocates."""
        fades, setups = patch.fades, patch.setups
        common, limit = patch.common, self.limit
        if not limit:
            return compose(common, fades, setups, patch.channels, patch.tables, frame) > 0
        levels, kept = self._levels, self._did
        n = len(levels)
        hold(fades, kept, levels, n)
        put(common, fades, setups, self._on_level, levels, n)
        for place in self._on_colour:
            o = place * fields.FADE
            fades[o + fields.PLACE] = fades[o + fields.WHITE_PLACE] = self._places[place]
        compose(common, fades, setups, patch.channels, patch.tables, self._held)
        self._ask(patch)
        put(common, fades, setups, self._on_level, levels, n)
        compose(common, fades, setups, patch.channels, patch.tables, self._wanted)
        changed = limit.pass_on(self._held, self._wanted, frame, self._now, self)
        keep(fades, levels, kept, limit.marks, limit.mask, n)
        for place in self._on_colour:
            if not limit.marks[place] & limit.mask:
                self._places[place] = fades[place * fields.FADE + fields.PLACE]
        return changed

    def _ask(self, patch):
        """What the effects want: levels, and places between keyframes. Never allocates."""
        now, fades = self._now, patch.fades
        levels = self._levels
        begin(fades, levels, len(levels))
        for n in range(len(self.running)):
            running = self.running[n]
            running.move(now)
            if running.effect[ACTS] & LEVEL:
                running.mix(levels)
        made, lengths = self._key_made, self._key_length
        for place in self._on_colour:
            o, length = place * fields.FADE, lengths[place]
            fades[o + fields.PLACE] = fades[o + fields.WHITE_PLACE] = (
                min(now - made[place], length) * fields.ONE // length)

    def mark_away(self, marks):
        """For the limiter: mark the fixtures that go away from their look's light."""
        away(self._stage.patch.fades, self._levels, self._did, marks, len(self._levels))

    def tidy(self, now):
        """After the frame: one keyframe where one is due; effects that have faded out go."""
        for running in self.running:
            if running.has_ended():
                self._take_off(running.effect)
                self._assign()
                return
        places = list(self._on_colour)
        for n in range(len(places)):
            place = places[(self._next_key + n) % len(places)]
            # A lamp that is held is not at its keyframe yet.
            if now - self._key_made[place] >= self._key_length[place] and self._places[place] == fields.ONE:
                self._next_key = (self._next_key + n + 1) % len(places)
                self._make_key(place, now, False)
                return

    # --- inside ---

    def _lamps(self, effect):
        """(places of its lamps that can do it, names of those that cannot)."""
        places, left_out = [], []
        for place, f in enumerate(self._stage.show.rig.fixtures):
            if f.uid in effect[LAMPS]:
                if can(f, effect[ACTS]):
                    places.append(place)
                else:
                    left_out.append(f.name)
        return places, left_out

    def _begun(self, effect, now):
        """A Running of an effect, with its kind's code. Errors: as start; then nothing stays loaded."""
        places, left_out = self._lamps(effect)
        if not places:
            if not left_out:
                raise ValueError("%s: its lamps are gone, choose others" % effect[KIND])
            acts = once("firmware.show.effect_settings", "acts_on", effect[ACTS])
            raise ValueError("%s has no %s" % (", ".join(left_out), acts))
        self.message = "Left out: " + ", ".join(left_out) if left_out else ""
        part = running = None
        try:
            self._load_limit()
            part = Part(once("firmware.light.effects.table", "find", effect[KIND]))
            running = Running(part, effect, array("i", places), now)
        except MemoryError:
            raise ValueError("No memory for %s" % effect[KIND]) from None
        finally:
            if part and not running:
                part.close()
        return running

    def _load_limit(self):
        """Errors: MemoryError."""
        if not self.limit:
            stage = self._stage
            gc.collect()
            built = once("firmware.stage.flash_rows_build", "build", stage.show.rig, stage.patch, False)
            gc.collect()  # the largest pieces first; what building them left may not lie among those of the code
            self._limit_part = Part("firmware.stage.flash_limiter")
            self.limit = self._limit_part.make("Limiter", stage, False, built)
            self.limit.on = self.limited

    def _drop_limit(self):
        if self.limit:
            self.limit = None
            self._limit_part.close()

    def _take_off(self, effect):
        for running in [running for running in self.running if running.effect is effect]:
            self.running.remove(running)
            running.close()

    def _assign(self):
        """Which lamps have which effects."""
        fixtures, stage = self._stage.show.rig.fixtures, self._stage
        on_level, on_colour = bytearray(len(fixtures)), {}
        for running in self.running:
            acts = running.effect[ACTS]
            for k, place in enumerate(running.lamps):
                if can(fixtures[place], acts & LEVEL):
                    on_level[place] = 1
                if can(fixtures[place], acts & (WHITE | COLOUR)):
                    on_colour.setdefault(place, []).append((running, k))
        self._on_level = on_level
        for place in [place for place in self._on_colour if place not in on_colour]:
            del self._on_colour[place]
            stage.set_fade(fixtures[place], *stage.fade_of(fixtures[place]))
        for place in on_colour:
            is_new = place not in self._on_colour
            self._on_colour[place] = on_colour[place]
            if is_new:
                self._make_key(place, self._now, True)

    def _make_key(self, place, now, at_once):
        """The next keyframe of a lamp: from what it shows to what its effects ask for now."""
        stage, f = self._stage, self._stage.show.rig.fixtures[place]
        self._key_changes[place] = stage.changes_of(place)
        self._key_made[place], self._key_length[place] = now, max(_KEY_MS, _KEY_COST_MS * len(self._on_colour))
        stage.patch.setups[place * fields.SETUP + fields.SEGMENTS] = 1
        fade.settle(stage.patch, place)
        light = stage.light(f)
        for running, k in self._on_colour[place]:
            running.change(light, k)
        fade.values(stage.patch, place, f, light, light, fields.TO)
        if at_once:
            fade.settle(stage.patch, place)
        self._places[place] = fields.ONE if at_once else 0


def can(f, acts):
    """True where a lamp has any of what an effect acts on: a sum of LEVEL, WHITE and COLOUR."""
    has = f.personality.has
    return bool(acts & LEVEL and has("level") or acts & WHITE and has("cct") or acts & COLOUR and has("hue"))
