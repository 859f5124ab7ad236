"""Effects as light, on top of the look that is on: between the stage's move and make. Made when the first is started.

Level goes straight into the stage's shares, every tick, without allocation. White and colour go the way of all light,
through the personality, as keyframes: one lamp's is worked out in a step, and between two the tick moves evenly.
"""

from array import array

from micropython import const

from firmware.light import white
from firmware.parts import once
from firmware.show.effect_fields import ACTS, COLOUR, DEPTH, FADE, KIND, LAMPS, LEVEL, ON, PARAMS, SEED, SEEDS, WHITE
from firmware.show.fixture_light import CCT, HUE, LIMITS, MIX, SAT
from firmware.stage import effect_models, fade
from firmware.stage import patch_fields as fields
from firmware.stage.flash_limiter import Limiter
from firmware.stage.patch_fields import mul16

_MOST_SLOTS = const(50)  # of catching up in one tick
_KEY_MS = const(120)  # between two keyframes of a lamp, at least
_KEY_COST_MS = const(16)  # as fade.py
_VOICES = const(12)  # of one effect, at most: where there are more lamps, every twelfth does the same
_MIREDS = const(150)  # how far an effect at full depth moves the white
_TINTED = WHITE | COLOUR


class Running:
    """One effect that is on, on the lamps of a rig. `values`: its present value for each of its voices."""

    def __init__(self, effect, lamps, now):
        kind = effect[KIND]
        self.effect = effect
        self.lamps = lamps  # places in the rig, array
        self.adds = once("firmware.show.effect_settings", "kind", kind)[2]
        self.sun = kind == "Low sun"
        count = min(len(lamps), _VOICES) if kind in effect_models.ALONE else 1
        seeds = [(effect[SEED] + 101 * n) % SEEDS + 1 for n in range(count)]
        self._runs = [effect_models.RUNS[kind](effect_models.Dice(seed), *effect[PARAMS]) for seed in seeds]
        self.values = array("i", [next(run) for run in self._runs])
        self._slot = now
        self.gain = 0  # 0..65536: depth and fade
        self._ramp = (0, 0, now, effect[FADE])  # from, to, since, ms
        self.aim(effect[DEPTH], now)

    def aim(self, depth, now):
        """Fade to a depth, per cent, from where it is."""
        self._ramp = (self.gain, depth * fields.ONE // 100, now, self.effect[FADE])

    def over(self):
        """True when it has faded out."""
        return not self.gain and not self._ramp[1]

    def move(self, now):
        """Bring it to now, ms. Never allocates."""
        low, high, since, ms = self._ramp
        done = now - since
        if done >= ms:
            self.gain = high
        elif done > 0:
            self.gain = low + (high - low) // 64 * (done * 64 // ms)
        n = 0
        while now - self._slot >= effect_models.SLOT_MS:
            self._slot += effect_models.SLOT_MS
            n += 1
            if n > _MOST_SLOTS:
                self._slot = now
            for k in range(len(self._runs)):
                self.values[k] = next(self._runs[k])

    def share(self, k):
        """How much of what is left its k-th lamp gets or loses now, 0..65536."""
        v = self.values[k % len(self.values)]
        if self.sun:
            v = effect_models.sun_level(v)
        return mul16(self.gain, v if self.adds else fields.ONE - v)

    def value(self, k):
        """The present value for its k-th lamp."""
        return self.values[k % len(self.values)]


class Effects:
    """`kept`: all effects of the show, to be read. `running`: those that are on. `limit`: the limiter. `note`: lamps
    that an effect had to leave out, in words. `faults`: damage to the file."""

    def __init__(self, stage):
        self.running = []
        self.kept, fault = once("firmware.show.effect_settings", "load", stage.show)
        self.faults = [fault] if fault else []
        self.note = ""
        self._stage = stage
        self._now = 0
        self.limit = None
        self.repatch()

    def repatch(self):
        """The rig changed: lamps that are gone leave their effects, the others go on."""
        rig = self._stage.show.rig
        was, self.limit = self.limit, Limiter(len(rig))
        self.limit.on = was is None or was.on
        self._levels = array("i", [0] * len(rig))
        self._leveled = array("i")  # places of lamps with an effect on level
        self._keys = {}  # place: [running and its lamp's number, ...], from ms, length, its fields.CHANGES then
        self._turn = 0
        for run in self.running:
            run.lamps = array("i", self._able(run.effect)[0])
        self._spread()

    def add(self, effect):
        """Keep one more. Errors: ValueError: too many; OSError(ENOSPC): nothing changed."""
        once("firmware.show.effect_settings", "save", self._stage.show, self.kept + [effect])
        self.kept.append(effect)

    def remove(self, effect):
        """Take one off and forget it. Errors: OSError(ENOSPC): nothing changed."""
        left = [other for other in self.kept if other is not effect]
        once("firmware.show.effect_settings", "save", self._stage.show, left)
        self.kept = left
        self._drop(effect)
        self._spread()

    def save(self):
        """Keep the settings as they are. Errors: OSError(ENOSPC)."""
        once("firmware.show.effect_settings", "save", self._stage.show, self.kept)

    def resume(self, now):
        """After power-up: put those on that were on -> what cannot be, in words."""
        faults = []
        for effect in self.kept:
            if effect[ON]:
                try:
                    self.start(effect, now)
                except ValueError as e:
                    faults.append(str(e))
        return faults

    def start(self, effect, now):
        """Put an effect on; where it is on already it begins anew. Errors: ValueError: no lamp of its can do it."""
        self._drop(effect)
        able, left = self._able(effect)
        if not able:
            if not left:
                raise ValueError("%s: its lamps are gone, choose others" % effect[KIND])
            acts = once("firmware.show.effect_settings", "acts_on", effect[ACTS])
            raise ValueError("%s has no %s" % (", ".join(left), acts))
        self.note = "Left out: " + ", ".join(left) if left else ""
        self.running.append(Running(effect, array("i", able), now))
        self._spread()

    def stop(self, effect, now):
        """Let it fade out."""
        for run in self.running:
            if run.effect is effect:
                run.aim(0, now)

    def deepen(self, effect, now):
        """Its depth was changed: go there."""
        for run in self.running:
            if run.effect is effect:
                run.aim(effect[DEPTH], now)

    def is_on(self, effect):
        """True until it has faded out."""
        return any(run.effect is effect for run in self.running)

    def rate(self):
        """Flashes in the last second, in halves: 3 is one and a half."""
        return self.limit.turns(self._now)

    # --- the tick ---

    def follow(self, now):
        """First in the tick: where the look's light was changed under a tinted lamp, its light is worked out again."""
        self._now = now
        stage = self._stage
        for place in self._keys:
            if self._keys[place][3] != stage.patch.setups[place * fields.SETUP + fields.CHANGES]:
                self._key(place, now, True)

    def apply(self, patch):
        """Between move and make. Never allocates."""
        now, levels = self._now, self._levels
        fx, fh = patch.fades, patch.setups
        par, limit = patch.common, self.limit
        for place in self._leveled:
            levels[place] = fx[place * fields.FADE + fields.LEVEL]
        for n in range(len(self.running)):
            run = self.running[n]
            run.move(now)
            if run.effect[ACTS] & LEVEL:
                self._mix(run, levels)
        for place in self._leveled:
            o = place * fields.FADE
            base = fx[o + fields.LEVEL]
            # What the limit holds back is older than the base: together they may leave the range.
            level = max(0, min(fields.ONE, base + limit.pass_on(place, levels[place] - base, now)))
            if not par[fields.MODE]:
                free = fh[place * fields.SETUP + fields.EXEMPT]
                fx[o + fields.OUTPUT] = level if free else mul16(level, par[fields.MASTER])
        for place in self._keys:
            key, o = self._keys[place], place * fields.FADE
            done = min(now - key[1], key[2])
            fx[o + fields.PLACE] = fx[o + fields.WHITE_PLACE] = done * fields.ONE // key[2]

    def _mix(self, run, levels):
        """Let one effect work on the levels."""
        lamps, alone = run.lamps, len(run.values) > 1
        share = run.share(0)
        for k in range(len(lamps)):
            if alone:
                share = run.share(k)
            level = levels[lamps[k]]
            levels[lamps[k]] = level + mul16(fields.ONE - level, share) if run.adds else level - mul16(level, share)

    def tidy(self, now):
        """After the frame: one keyframe where one is due; effects that have faded out go."""
        for run in self.running:
            if run.over():
                self.running.remove(run)
                self._spread()
                return
        if self._keys:
            places = list(self._keys)
            for n in range(len(places)):
                place = places[(self._turn + n) % len(places)]
                key = self._keys[place]
                if now - key[1] >= key[2]:
                    self._turn = (self._turn + n + 1) % len(places)
                    self._key(place, now, False)
                    return

    # --- inside ---

    def _able(self, effect):
        """(places of its lamps that can do it, names of those that can't)."""
        able, left = [], []
        for place, f in enumerate(self._stage.show.rig.fixtures):
            if f.uid in effect[LAMPS]:
                if any(can(f, bit) for bit in bits(effect[ACTS])):
                    able.append(place)
                else:
                    left.append(f.name)
        return able, left

    def _drop(self, effect):
        self.running = [run for run in self.running if run.effect is not effect]

    def _spread(self):
        """Which lamps have which effects."""
        fixtures, stage = self._stage.show.rig.fixtures, self._stage
        leveled, tinted = set(), {}
        for run in self.running:
            for k, place in enumerate(run.lamps):
                if run.effect[ACTS] & LEVEL and can(fixtures[place], LEVEL):
                    leveled.add(place)
                if any(can(fixtures[place], bit) for bit in bits(run.effect[ACTS] & _TINTED)):
                    tinted.setdefault(place, []).append((run, k))
        self._leveled = array("i", sorted(leveled))
        for place in [p for p in self._keys if p not in tinted]:
            del self._keys[place]
            stage.set_fade(fixtures[place], *stage.fade_of(fixtures[place]))
        for place in tinted:
            fresh = place not in self._keys
            key = self._keys.setdefault(place, [None, self._now, _KEY_MS, None])
            key[0] = tinted[place]
            if fresh:
                self._key(place, self._now, True)

    def _key(self, place, now, at_once):
        """The next keyframe of a lamp: from what it shows to what its effects ask for now."""
        key, patch, f = self._keys[place], self._stage.patch, self._stage.show.rig.fixtures[place]
        key[3] = self._stage.patch.setups[place * fields.SETUP + fields.CHANGES]
        key[1], key[2] = now, max(_KEY_MS, _KEY_COST_MS * len(self._keys))
        patch.setups[place * fields.SETUP + fields.SEGMENTS] = 1
        fade.settle(patch, place)
        end = self._tinted(f, key[0])
        fade.values(patch, place, f, end, end, fields.TO)
        if at_once:
            fade.settle(patch, place)

    def _tinted(self, f, runs):
        """A lamp's light with its effects on white and colour: a light."""
        light = self._stage.light(f)
        for run, k in runs:
            tint(light, run, run.value(k))
        return light


def tint(light, run, v):
    """Change the white and colour of a light (six ints) by one effect's value: brighter is cooler, as in flames."""
    acts, gain = run.effect[ACTS], run.gain
    if acts & WHITE:
        kelvin = light[CCT]
        if run.sun:
            goal = effect_models.sun_kelvin(v, run.effect[PARAMS][2])
            kelvin = white.between(kelvin, goal, gain / fields.ONE)
        else:
            mireds = _MIREDS * (v if run.adds else v - fields.ONE) * gain / fields.ONE / fields.ONE
            kelvin = 1e6 / max(40, 1e6 / kelvin - mireds)
        light[CCT] = max(LIMITS[CCT][0], min(LIMITS[CCT][1], int(kelvin + 0.5)))
    if acts & COLOUR:
        light[HUE] = (light[HUE] + 36000 * v // fields.ONE) % 36000
        if light[MIX] == 0 or light[SAT] == 0:
            light[MIX], light[SAT] = LIMITS[MIX][1], 0
        light[SAT] += mul16(LIMITS[SAT][1] - light[SAT], gain)


def can(f, bit):
    """True where a lamp has what an effect acts on: LEVEL, WHITE or COLOUR."""
    return f.personality.has("level" if bit == LEVEL else "cct" if bit == WHITE else "hue")


def bits(acts):
    """The single bits of a sum."""
    return [bit for bit in (LEVEL, WHITE, COLOUR) if acts & bit]
