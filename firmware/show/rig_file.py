"""The rig as plain values for its file, and back. Loaded to open or save a show."""

from firmware.show import personality_build
from firmware.show.personality_builtin import idents
from firmware.show.rig_edit import add
from firmware.universe import UNIVERSES


def pack(rig):
    """The rig as plain JSON values, as `unpack` takes them."""
    built_in = idents()
    kinds = {f.personality.id: f.personality for f in rig.fixtures}
    return {
        "next": rig.next,
        "personalities": [personality_build.pack(kinds[i]) for i in sorted(kinds) if i not in built_in],
        "fixtures": [
            {"uid": f.uid, "name": f.name, "personality": f.personality.id, "address": f.address,
             "trims": f.trims}
            for f in rig.fixtures
        ],
    }


def unpack(rig, data):
    """Fill an empty rig with what `pack` gave -> list of faults: which fixtures were left out, and why."""
    faults = []
    rig.universes = UNIVERSES  # all that there is, whatever this device sends
    for p in data.get("personalities", ()):
        try:
            p = personality_build.unpack(p)
            rig.library[p.id] = p
        except (ValueError, KeyError, TypeError) as e:
            faults.append("Personality left out: %s" % e)
    uids = set()
    for item in data["fixtures"][:rig.most]:
        try:
            if item["uid"] in uids:
                raise ValueError("uid %d is another's" % item["uid"])
            f = add(rig, item["personality"], item["name"], item["address"])
            f.uid = item["uid"]
            uids.add(f.uid)
            if item.get("trims"):
                f.trims = item["trims"]
        except (ValueError, KeyError, TypeError) as e:
            faults.append("Fixture %s left out: %s" % (item.get("name", "?"), e))
    rig.universes = 1
    rig.next = max([data.get("next", 1)] + [f.uid + 1 for f in rig.fixtures])
    return faults
