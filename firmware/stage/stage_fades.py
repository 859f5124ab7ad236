"""Sends fixtures on to other light, and works out their colours a little in each step. Each is a function with the
stage as its first argument, and a method of Stage.

Levels move at once. A colour stands until fade.py has worked out where it goes; a cut waits for all of them.
"""

from micropython import const

from firmware.show import resolve
from firmware.show.fixture_light import EXTRAS
from firmware.show.look_record import SOFT
from firmware.stage import fade
from firmware.stage import patch_fields as fields

try:
    from firmware.stage.tick_loops_viper import aim as aim_one
except (ImportError, SyntaxError, NameError):  # a port without native code; CPython knows no ptr32
    from firmware.stage.tick_loops import aim as aim_one

# What a step spends on working out colours, and what it takes: about half a millisecond each on an RP2040.
_BUDGET = const(5)
_ALL = const(1 << 20)  # a budget that is never spent
_PIECE = const(4)  # a piece of an emitter lamp's
_PLAIN = const(5)  # any other lamp
# So few different lamps are worked out at once: a rig of a handful never waits.
_FEW = const(12)
_FEW_KEYED = const(3)


def aim(stage, lights, length, ends=None):
    """Send fixtures to light from the light that they show. lights: as of a look; length: ms, with look_record.SOFT
    added for the S curve, 0 at once, -1 by hand; ends: {uid: the channels' values there} where they are known. Levels
    move now, in a fade all as late as the slowest lamp; colours follow as they are worked out, and a cut waits for all
    of them."""
    patch = stage.patch
    curve = fade.SOFT if length > SOFT else fade.LINEAR
    length -= curve * SOFT
    slowest = stage.lags.slowest(stage.show.rig, lights, length) if stage.lags and length > 0 else 0
    start = fields.NEVER if length == 0 else 0 if length < 0 else stage.time
    fades, setups, channels, extras = patch.fades, patch.setups, patch.channels, patch.extras
    length_now = 1 if length == 0 else max(0, length)
    i = -1
    for f in stage.show.rig.fixtures:
        i += 1
        light = lights.get(f.uid)
        if light is not None:
            if stage.pick_up or light[EXTRAS] or i in extras or fades[i * fields.FADE + fields.DONE] != fields.ONE:
                _leave(stage, i, f, light)
            how = stage.lags.wait(patch, i, f.trims.get("lag", 0), slowest, curve) if slowest else curve
            aim_one(fades, setups, channels, i, light, start, length_now, how)
    stage.touched.update(lights)
    stage.by_hand = [f for f in stage.by_hand if f.uid not in lights]
    stage.forget()
    _send_raw(stage, lights.get(0), length)
    if ends:
        for uid in ends:
            fade.put(patch, patch.places[uid], fields.END, ends[uid])
    _at_once(stage, len(lights))


def _leave(stage, i, fixture, light):
    """A fixture is about to begin a fade to a light."""
    patch = stage.patch
    if stage.pick_up:
        stage.pick_up(fixture)
    if light[EXTRAS] or i in patch.extras:
        fade.set_extras(patch, i, stage.light(fixture)[EXTRAS], light[EXTRAS])
    if patch.fades[i * fields.FADE + fields.DONE] != fields.ONE:
        fade.leave(patch, i)


def _send_raw(stage, runs, length):
    """Send the slots of nobody along with the fixtures."""
    if length == 0:
        stage.cut = True
        stage.cut_runs = stage.cut_runs if runs is None else runs
    elif runs is not None:
        stage.move_raw(runs, None if length < 0 else length)


def _at_once(stage, count):
    """Let a handful of fixtures not wait."""
    if count <= _FEW:
        keyed, _plain = resolve.finished(fade.lead(stage.patch))
        stage.led = True
        if keyed <= _FEW_KEYED:
            finish(stage)


def finish(stage):
    """Work out at once all that waits, however long it takes."""
    work(stage, stage.move(), fields.WAITS, _ALL)


def work(stage, task, least=0, budget=_BUDGET):
    """Work out colours, the most urgent first, down to the urgency `least`, until the budget of a step is spent. A cut
    lands when all that wait have what they need."""
    spent = 0
    while spent < budget and task >= max(least, fields.AHEAD):
        if stage.job is None:
            stage.job = (fade.work(stage.patch, stage.show.rig.fixtures, task) if stage.led
                         else fade.lead(stage.patch))
        try:
            next(stage.job)
            spent += _PIECE
        except StopIteration:
            stage.job = None
            spent += _PLAIN
            if stage.led:
                stage.solves += 1
                task = stage.move()
            stage.led = True
    if least and stage.cut and task < fields.WAITS:
        land(stage)
        stage.move()


def land(stage):
    """All of a cut is worked out: it is on from now."""
    fades, setups = stage.patch.fades, stage.patch.setups
    for o in range(0, len(fades), fields.FADE):
        if fades[o + fields.START] == fields.NEVER and fades[o + fields.LENGTH]:
            fades[o + fields.START], fades[o + fields.LENGTH] = stage.time, 0
            fades[o + fields.DONE] = fields.ONE
            h = o // fields.FADE * fields.SETUP
            setups[h + fields.SEGMENTS], setups[h + fields.SEGMENT] = 2, 0  # so `move` takes END
    stage.cut = False
    if stage.cut_runs is not None:
        runs, stage.cut_runs = stage.cut_runs, None
        stage.move_raw(runs, 0)
