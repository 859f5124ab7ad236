"""Which lamps something is for: one, all, those picked, or a group. Used by the pages of effects and of groups."""

from firmware.show import groups


def picked(app):
    """The uids of the lamps that are picked, in the order of the rig."""
    uids = app.remembered.get("picked", ())
    return [f.uid for f in app.show.rig.fixtures if f.uid in uids]


def targets(app):
    """What can be chosen: list of (name, [uids]), for each lamp, for all lamps, the picked ones and each group."""
    fixtures = app.show.rig.fixtures
    out = [(f.name, [f.uid]) for f in fixtures]
    if len(fixtures) > 1:
        out.append(("All lamps", [f.uid for f in fixtures]))
    uids = picked(app)
    if uids:
        out.append(("Picked", uids))
    found, fault = groups.load(app.show)
    app.shelf.faults += [fault] if fault else []
    return out + [(name, uids) for name, uids in found]


def present(app, found):
    """The place in `found` (a list made by `targets`) of what is chosen on the Light page; 0 where it is not there."""
    lamp = app.remembered.get("lamp")
    for n, (name, uids) in enumerate(found):
        if lamp == name or [lamp] == uids:
            return n
    return 0


def names(app, uids):
    """The lamps of these uids in words: "Key, Fill", or "all lamps"."""
    fixtures = app.show.rig.fixtures
    found = [f.name for f in fixtures if f.uid in uids]
    if len(found) == len(fixtures) > 1:
        return "all lamps"
    return ", ".join(found) or "no lamp"
