"""The light as it was, packed small, so that dialling it or going to a look can be undone. Used by the pages of light
and looks.
"""

import struct

from firmware.show.personality import PARAMS, SCALE

_LIGHT = "<IHhHHH"  # the parameters of a light (show/personality.py), for struct


def take(stage, fixtures):
    """The light of these fixtures now, for put_back."""
    size = struct.calcsize(_LIGHT)
    out = bytearray(size * len(fixtures))
    extras = {}
    for i, f in enumerate(fixtures):
        light, raw = stage.light(f)
        struct.pack_into(_LIGHT, out, i * size, *light)
        if raw:
            extras[f.uid] = raw
    return [f.uid for f in fixtures], out, extras


def put_back(stage, taken):
    """Bring light back at once. taken: what `take` returned; fixtures that are gone since are left out."""
    uids, lights, extras = taken
    size = struct.calcsize(_LIGHT)
    for f in stage.show.rig.fixtures:
        if f.uid in uids:
            light = struct.unpack_from(_LIGHT, lights, uids.index(f.uid) * size)
            asked = {name: light[p] / SCALE[p] for p, name in enumerate(PARAMS)}
            names = f.personality.extras()
            asked.update({k: v for k, v in extras.get(f.uid, {}).items() if k in names})
            stage.dial(f, **asked)
