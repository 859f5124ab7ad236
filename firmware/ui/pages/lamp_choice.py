"""Which lamps something is for: all, those picked, a group, or one. Used by the pages of effects, meter and groups."""

from firmware.show import groups


def targets(app):
    """List of (name, [uids]): every lamp, all, the picked ones, the groups."""
    fixtures = app.show.rig.fixtures
    out = [(f.name, [f.uid]) for f in fixtures]
    if len(fixtures) > 1:
        out.append(("All lamps", [f.uid for f in fixtures]))
    picked = [f.uid for f in fixtures if f.uid in app.remembered.get("picked", ())]
    if picked:
        out.append(("Picked", picked))
    return out + [(name, uids) for name, uids in groups.load(app.show)[0]]


def present(app, found):
    """Place in `found` (targets) of what the Light page has chosen; 0 where that is none of them."""
    lamp = app.remembered.get("lamp")
    for n, (name, uids) in enumerate(found):
        if lamp == name or [lamp] == uids:
            return n
    return 0


def names(app, uids):
    """Lamps in words: "Key, Fill"; "all lamps"."""
    fixtures = app.show.rig.fixtures
    found = [f.name for f in fixtures if f.uid in uids]
    if len(found) == len(fixtures) > 1:
        return "all lamps"
    return ", ".join(found) or "no lamp"
