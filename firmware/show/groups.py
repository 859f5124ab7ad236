"""Named sets of fixtures, to be selected at once. Saved in groups.json; read by the pages when they need them."""

from firmware.show import file_store

MOST = 16
NAME_MOST = 24


def load(show):
    """(groups, fault): [[name, [uid ...]] ...], without fixtures that are no longer in the rig and without groups that
    have none left. fault: in words, or None."""
    data, fault = file_store.load(show.disk, _path(show))
    return _patched(show, (data or {}).get("groups", [])), fault


def saved(show):
    """The groups as they are saved, with fixtures that were taken out of the rig: they may come back."""
    return (file_store.load(show.disk, _path(show))[0] or {}).get("groups", [])


def put(show, name, uids):
    """Save a group; it takes the place of one of the same name. Errors: ValueError: a bad name, no fixtures, or 16
    groups; OSError(ENOSPC)."""
    name = name.strip()
    if not name or len(name) > NAME_MOST:
        raise ValueError("A group's name has 1 to %d letters" % NAME_MOST)
    if not uids:
        raise ValueError("Pick the lamps of the group first")
    groups = [group for group in saved(show) if group[0] != name]
    if len(groups) >= MOST:
        groups = _patched(show, groups)  # those without a fixture give way
    if len(groups) >= MOST:
        raise ValueError("A show has %d groups: remove one first" % MOST)
    _save(show, groups + [[name, sorted(uids)]])


def remove(show, name):
    """Remove a group; its fixtures stay. Errors: OSError(ENOSPC): nothing has changed."""
    _save(show, [group for group in saved(show) if group[0] != name])


def _patched(show, groups):
    """Groups without what is not in the rig."""
    patched = [f.uid for f in show.rig.fixtures]
    found = [[name, [uid for uid in uids if uid in patched]] for name, uids in groups]
    return [group for group in found if group[1]]


def _save(show, groups):
    file_store.save(show.disk, _path(show), {"groups": groups})


def _path(show):
    return show.folder + "/groups.json"
