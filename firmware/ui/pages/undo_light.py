"""The light as it was, packed small, so that dialling it or going to a look can be undone. Used by the pages of light
and looks.
"""

from firmware.parts import once
from firmware.show.fixture_light import EXTRAS, SIX_SIZE, pack_six, unpack_six


def take(stage, fixtures):
    """The light of these fixtures now, for put_back."""
    out, extras = bytearray(SIX_SIZE * len(fixtures)), {}
    for i, f in enumerate(fixtures):
        light = stage.light(f)
        out[i * SIX_SIZE:(i + 1) * SIX_SIZE] = pack_six(light)
        if light[EXTRAS]:
            extras[f.uid] = light[EXTRAS]
    return [f.uid for f in fixtures], out, extras


def put_back(stage, taken):
    """Bring light back at once. taken: what `take` returned; fixtures that are gone since are left out."""
    uids, lights, extras = taken
    for f in stage.show.rig.fixtures:
        if f.uid in uids:
            light = unpack_six(lights, uids.index(f.uid) * SIX_SIZE)
            names = f.personality.extras()
            light[EXTRAS] = {name: value for name, value in extras.get(f.uid, {}).items() if name in names}
            stage.put_fixture(f, light)
    once("firmware.ui.pages.looks.look_changed", "check", stage)
