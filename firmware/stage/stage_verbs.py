"""What the pages ask of the stage: dial light, store it as a look, fade to a look, crossfade by hand.

Each is a function with the stage as its first argument, and a method of Stage.
"""

from firmware.light import level as levels
from firmware.show.fixture_light import EXTRAS, FULL, LEVEL, LIMITS, MIX, PARAMS, SAT, SCALE
from firmware.show.look_record import SOFT
from firmware.stage import fade
from firmware.stage import patch_fields as fields

LONGEST_S = 600  # of a fade


def dial(stage, fixture, **asked):
    """Ask light of one fixture at once: level=, mix=, sat= (0..1), cct= (K), duv=, hue= (degrees), and raw channels by
    name (0..65535). fixture: a Fixture or a name. What it asks beyond LIMITS is held there.

    A saturation above 0 turns the colour on (mix 1) where it was off. Errors: KeyError: no such fixture or channel.
    """
    if isinstance(fixture, str):
        fixture = stage.show.rig.find(fixture)
    if stage.pick_up:
        stage.pick_up(fixture)
    light = stage.light(fixture)
    for name, value in asked.items():
        if name in PARAMS:
            _set(light, PARAMS.index(name), int(round(value * SCALE[PARAMS.index(name)])))
        elif name in fixture.personality.extras():
            light[EXTRAS][name] = max(0, min(65535, int(value)))
        else:
            raise KeyError("%s has no %s" % (fixture.name, name))
    if "sat" in asked and "mix" not in asked:
        light[MIX] = (light[MIX] or SCALE[MIX]) if light[SAT] else 0
    _at_once(stage, fixture, light)


# Machine code on the chips.
def dial_level(stage, fixture, level):
    """Ask a level of one fixture at once. level: whole number 0..65536."""
    if stage.pick_up:
        stage.pick_up(fixture)
    patch = stage.patch
    i = stage.place(fixture)
    if _stands(patch, i):  # the usual case, and it must be quick: the knob waits for it
        o = i * fields.FADE
        patch.fades[o + fields.LEVEL_FROM] = patch.fades[o + fields.LEVEL_TO] = max(0, min(FULL, level))
        h = i * fields.SETUP + fields.CHANGES
        patch.setups[h] = patch.setups[h] + 1 & 65535
        stage.edited = True
        stage.touched.add(fixture.uid)
        return
    light = stage.light(fixture)
    _set(light, LEVEL, level)
    _at_once(stage, fixture, light)


# Machine code on the chips.
def level_of(stage, fixture):
    """The level of a fixture at this moment, before the master, 0..65536: as `light` has it, but quick."""
    fades = stage.patch.fades
    o = stage.place(fixture) * fields.FADE
    return fades[o + fields.LEVEL_TO] if fades[o + fields.DONE] >= fields.ONE else fades[o + fields.LEVEL]


def shift(stage, fixtures, param, amount):
    """Dial several at once, by difference: level in stops (ratios stay, so all stop where one hits its end), cct in
    mired, else in the parameter's unit. `message` says who hit an end."""
    stage.message = ""
    if stage.pick_up:
        for f in fixtures:
            stage.pick_up(f)
    if param == "level":
        _shift_levels(stage, fixtures, amount)
        return
    for f in fixtures:
        now = stage.value(f, param)
        if param == "cct":
            stage.dial(f, cct=1e6 / max(1, 1e6 / now + amount))
        elif param == "hue":
            stage.dial(f, hue=(now + amount) % 360)
        elif param in PARAMS:
            stage.dial(f, **{param: now + amount})


def present(stage, fixtures=None):
    """{uid: light} of what is on, of all fixtures or of those given, as a look keeps it."""
    return {f.uid: stage.light(f) for f in fixtures or stage.show.rig.fixtures}


def store(stage, name, fixtures=None, seconds=None):
    """Keep the light that is on as a look, of all fixtures or of those given. seconds: its fade time; None: its fade
    is as it was, and 2 s, linear, for a new look. Errors: as looks_store.store."""
    ms = None if seconds is None else int(seconds * 1000)
    stage.look_number = stage.show.looks.store(name, stage.present(fixtures), ms)
    stage.edited = False


def go(stage, look, seconds=None):
    """Fade to a look (a name) in 0..600 s by its curve; None: the look's own time. Starts from the light that is on.

    Fixtures that the look doesn't cover go on as they are. Errors: ValueError: no such look, it is damaged, or the time
    is out of range.
    """
    lights, its_fade = stage.show.looks.recall(look)
    soft = its_fade & SOFT
    length = its_fade - soft if seconds is None else int(round(seconds * 1000))
    if not 0 <= length <= LONGEST_S * 1000:
        raise ValueError("Fade time %s s: can be 0 to 600" % seconds)
    stage.look_number = stage.show.looks.number(look)
    stage.fade_to(lights, length + soft if length else 0)
    stage.edited = False


def fade_to(stage, lights, length, ends=None):
    """Fade to light that no look holds: {uid: light}, from the light that is on. length, ends: as of aim."""
    stage.paused = False
    stage.edited = True
    stage.aim(lights, length, ends)


def crossfade(stage, look):
    """Begin a crossfade by hand from the light that is on to a look. Errors: ValueError."""
    lights, _its_fade = stage.show.looks.recall(look)
    stage.by_hand, stage.edited = [], True
    moving = [f for f in stage.show.rig.fixtures if f.uid in lights]
    stage.aim(lights, -1 if moving else 0)
    stage.by_hand = moving


def crossfade_at(stage, share=None):
    """Move the crossfade by hand to `share`, 0..1 -> where it is. At 1 it is over; None only asks."""
    if not stage.by_hand:
        return 1.0
    fades = stage.patch.fades
    if share is not None:
        units = max(0, min(FULL, int(share * FULL + 0.5)))
        for f in stage.by_hand:
            fades[stage.place(f) * fields.FADE + fields.DONE] = units
            stage.touched.add(f.uid)
        if stage.raw:
            stage.touched.add(0)
            stage.raw.at(units)
        if units == FULL:
            stage.by_hand = []
            return 1.0
    return fades[stage.place(stage.by_hand[0]) * fields.FADE + fields.DONE] / FULL


def _shift_levels(stage, fixtures, stops):
    now = [level_of(stage, f) for f in fixtures]
    new, hit = levels.dial_stops(now, stops)
    if hit is not None:
        stage.message = "%s is %s" % (fixtures[hit].name, "full" if stops > 0 else "as low as it goes")
        if stops < 0 and len(fixtures) == 1 and new[0] >= now[0]:  # one detent below the darkest is off
            new, stage.message = [0], ""
    for f, units in zip(fixtures, new):
        dial_level(stage, f, units)


def _set(light, p, value):
    light[p] = max(LIMITS[p][0], min(LIMITS[p][1], value))


# Machine code on the chips.
def _stands(patch, i):
    """True where fixture i stands at its light and the slots of that are known."""
    setups = patch.setups
    h = i * fields.SETUP
    return (patch.fades[i * fields.FADE + fields.DONE] == fields.ONE and setups[h + fields.SEGMENTS]
            and patch.channels[setups[h + fields.CHANNELS_AT] + fields.END])


def _at_once(stage, fixture, light):
    """A fixture gives a light from now on. Where only the level is another, no colour is solved again."""
    patch, i = stage.patch, stage.place(fixture)
    goal = fade.light(patch, i, fields.LIGHT_TO)
    if _stands(patch, i) and light[LEVEL + 1:] == goal[LEVEL + 1:]:
        fade.set_ends(patch, i, light, light)
        stage.edited = True
        stage.touched.add(fixture.uid)
        return
    stage.put_fixture(fixture, light)
