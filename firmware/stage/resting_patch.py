"""The patch as it will be when all running fades have ended. Loaded by the stage for each call."""

from firmware.stage import fade, patch_build


def build(stage):
    """A Patch of the stage's rig in which every running fade is at its end; held fades and a crossfade by hand are
    where they are."""
    rig = stage.show.rig
    patch = patch_build.build(rig)
    for i, fixture in enumerate(rig.fixtures):
        light = stage.light(fixture) if stage.paused else stage.fade_of(fixture)[1]
        fade.begin(patch, i, fixture, light, light, 0, 0, fade.LINEAR)
    return patch
