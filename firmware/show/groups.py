"""Named sets of fixtures, to be chosen at once. Kept in groups.json; read by the pages when they need them."""

from firmware.show import file_store

MOST = 16
NAME_MOST = 24


def load(show):
    """(groups, fault): list of [name, [uids]]; lamps that are gone are left out, and groups without a lamp."""
    data, fault = file_store.load(show.disk, _path(show))
    there = [f.uid for f in show.rig.fixtures]
    groups = []
    for name, uids in (data or {}).get("groups", []):
        uids = [uid for uid in uids if uid in there]
        if uids:
            groups.append([name, uids])
    return groups, fault


def put(show, name, uids):
    """Keep a group; one of that name is replaced. Errors: ValueError: bad name, no lamps, too many; OSError(ENOSPC)."""
    name = name.strip()
    if not name or len(name) > NAME_MOST:
        raise ValueError("A group's name has 1 to %d letters" % NAME_MOST)
    if not uids:
        raise ValueError("Pick the lamps of the group first")
    groups = [group for group in load(show)[0] if group[0] != name]
    if len(groups) >= MOST:
        raise ValueError("A show has %d groups: remove one first" % MOST)
    _save(show, groups + [[name, sorted(uids)]])


def remove(show, name):
    """Forget a group; the lamps stay. Errors: OSError(ENOSPC): nothing changed."""
    _save(show, [group for group in load(show)[0] if group[0] != name])


def _save(show, groups):
    file_store.save(show.disk, _path(show), {"groups": groups})


def _path(show):
    return show.folder + "/groups.json"
