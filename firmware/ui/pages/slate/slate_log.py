"""Logs the next take, and brings the light of a logged one back. Used by the pages of the slate.

app.remembered["slate"] is the [scene, letter, set-up, take] of the next take, once the user has dialled or logged one.
"""

from firmware.parts import once
from firmware.show import slate as slates
from firmware.show.fixture_light import EXTRAS, MIX, SAT, from_pairs
from firmware.show.slate import BLACK, EFFECTS, LETTER, MASTER, SCENE, SETUP, TAKE_NO, TEXT
from firmware.stage import fade
from firmware.stage import patch_fields as fields

_BACK_MS = 1000  # the light comes back in a fade: a jump would flash


def ahead(app, slate):
    """[scene, letter, set-up, take] of the next take."""
    if "slate" in app.remembered:
        return app.remembered["slate"]
    last = slate.last
    return [last[SCENE], last[LETTER], last[SETUP], last[TAKE_NO] + 1] if last else [1, 0, 1, 1]


def log(app, slate):
    """Log the next take with the light that is on. Errors: ValueError, OSError: as of Slate.log."""
    stage, at = app.stage, ahead(app, slate)
    settle(stage)
    entry = [0] * TEXT + [""]
    entry[slates.DATE], entry[slates.SECONDS] = app.settings["date"], app.log.seconds(app.now)
    entry[SCENE], entry[LETTER], entry[SETUP], entry[TAKE_NO] = at
    entry[slates.LOOK], entry[MASTER] = stage.look_number, stage.master_units
    entry[slates.FLAGS] = (BLACK if stage.blackout else 0) | (EFFECTS if effects_on(stage) else 0)
    _expose(app, entry)
    slate.log(entry, slates.pack_lamps(stage))
    app.remembered["slate"] = at[:3] + [at[3] + 1]


def recall(app, slate, entry):
    """Bring the light of a take back -> what is not as it was, in words. Errors: ValueError: damaged."""
    stage, lamps, lights = app.stage, slate.lamps(entry), {}
    there = {f.uid: f for f in stage.show.rig.fixtures}
    for uid, _name, _address, _check, light, pairs in lamps:
        if uid in there:
            names = there[uid].personality.extras()
            light[EXTRAS] = from_pairs(pairs, names)
            lights[uid] = light
    stage.fade_to(lights, _BACK_MS)
    stage.master_units = entry[MASTER]
    stage.blackout = bool(entry[slates.FLAGS] & BLACK)
    stage.look_number = entry[slates.LOOK]
    then, now = bool(entry[slates.FLAGS] & EFFECTS), effects_on(stage)
    lines = [] if then == now else ["An effect was on: start it" if then else "An effect is on: it was not"]
    return lines + slates.differences(stage.show.rig, lamps)


def effects_on(stage):
    """True while an effect is on."""
    return bool(stage.effects and stage.effects.running)


def settle(stage):
    """Let every lamp that stands still send the bytes of its light alone. After a fade from a colour to white the hue
    slot still holds the hue from which it came. Nobody sees that, but a recall of the same light would send other
    bytes."""
    if stage.crossfade_at() < 1:
        return
    i = -1
    for f in stage.show.rig.fixtures:
        i += 1
        if not any(channel[0] == "hue" for channel in f.personality.channels):
            continue
        _start_light, light, _start, length, _curve = stage.fade_of(f)
        came = fade.light(stage.patch, i, fields.LIGHT_FROM)
        if not length and came[SAT] and came[MIX] and not (light[SAT] and light[MIX]):
            stage.set_fade(f, light, light, 0, 0, fade.LINEAR)


def take_words(at):
    """[scene, letter, set-up, take] in words: "scene 12A, set-up 3, take 4"."""
    entry = [0] * TEXT
    entry[SCENE], entry[LETTER], entry[SETUP], entry[TAKE_NO] = at
    return entry_words(entry)


def entry_words(entry):
    """A logged take in words: "scene 12A, set-up 3, take 4"."""
    return "%s, take %d" % (slates.scene_text(entry), entry[TAKE_NO])


def _expose(app, entry):
    """Put the exposure into a record, where lamps have readings; only then its code is loaded, and only for this."""
    if "readings.json" not in app.show.disk.list(app.show.folder):
        return
    (entry[slates.ISO], entry[slates.ANGLE10], entry[slates.FPS100], entry[slates.LUX10],
     entry[slates.STOP100]) = once("firmware.show.meter_readings", "exposure_now", app.show, app.stage)
