"""What changes the looks of a show beside storing one. Loaded for each call."""

from array import array

from firmware.parts import once
from firmware.show import file_disk, file_write, look_pack, looks_append, looks_store
from firmware.show.look_record import H_FADE, H_NAME, OLDER


def rename(looks, name, new):
    """Errors: ValueError: no such look, bad name, the name of another look; OSError ENOSPC: nothing changed."""
    at = looks.index(name)
    new = looks_store.good_name(new)
    if new == name:
        return
    if new in looks.names():
        raise ValueError("%s is another look" % new)
    light, fade = _light(looks, name)
    looks_store.replace(looks, at, new, light, fade)
    names = looks.names()
    names[at] = new
    looks.take(looks.ids, names, looks.places)


def copy(looks, name, new):
    """Keep the same light under another name too. Errors: as store; ValueError if the name is taken."""
    new = looks_store.good_name(new)
    if new in looks.names():
        raise ValueError("%s is another look" % new)
    light, fade = _light(looks, name)
    looks_store.add(looks, looks.highest + 1, new, light, fade, len(looks))


def set_fade(looks, name, fade):
    """Give a look another fade of its own: ms, with look_record.SOFT added for the S curve. Errors: as recall; OSError
    ENOSPC: nothing changed."""
    light, _old = _light(looks, name)
    looks_store.replace(looks, looks.index(name), name, light, fade)


def saved(looks, name):
    """The look as it lies on flash now: what bring_back takes. Errors: ValueError: no such look, or damaged."""
    return looks.number(name), _light(looks, name)


def bring_back(looks, saved):
    """Undo of a store over a look: its light, raw slots and fade time are as they were. Errors: ValueError: it was
    deleted; OSError ENOSPC: nothing changed."""
    number, (light, fade) = saved
    if number not in list(looks.ids):
        raise ValueError("The older light cannot come back: the look is deleted")
    name = looks.name_of(number)
    looks_store.replace(looks, looks.index(name), name, light, fade)


def remove(looks, name):
    """Delete a look -> what put_back takes. Errors: ValueError; OSError: nothing changed."""
    at, number = looks.index(name), looks.number(name)
    found = looks.record(at)
    if found is None:
        return number, at, name, None  # that was found just now, and took it out of the order
    older = looks.places[at] == OLDER
    ids, names, places = list(looks.ids), looks.names(), list(looks.places)
    del ids[at], names[at], places[at]
    _order(looks, ids, names, places)
    if older:
        once("firmware.show.looks_older", "drop", looks, number)
    else:
        looks.live -= look_pack.stored_size(found[0])
    return number, at, name, (found[1][found[0][H_NAME]:], found[0][H_FADE])


def put_back(looks, gone):
    """Undo of remove: the look has its old number and place. Errors: ValueError: its name is taken, the show is
    full, or it was damaged; OSError ENOSPC: nothing changed."""
    number, at, name, kept = gone
    if kept is None:
        raise ValueError("%s was damaged: it cannot come back" % name)
    if name in looks.names() or number in list(looks.ids):
        raise ValueError("There is another look %s now" % name)
    looks_store.add(looks, number, name, kept[0], kept[1], min(at, len(looks)))


def move(looks, name, place):
    """Give a look another place in the order, 0-based. Errors: ValueError; OSError ENOSPC: nothing changed."""
    at = looks.index(name)
    ids, names, places = list(looks.ids), looks.names(), list(looks.places)
    for one in (ids, names, places):
        one.insert(place, one.pop(at))
    _order(looks, ids, names, places)


def _light(looks, name):
    """(bytes of its light, fade) of a look. Errors: as recall."""
    found = looks.record(looks.index(name))
    if found is None:
        raise ValueError("%s is damaged and has no good copy" % name)
    return found[1][found[0][H_NAME]:], found[0][H_FADE]


def _order(looks, ids, names, places):
    """Keep a new order, then take it; that also goes where no more than the reserve is free. Errors: OSError: all is
    as before."""
    kept = array("H", ids)
    file_write.with_room(looks.disk, "the order of the looks", file_disk.BLOCK, 0,
                         lambda: looks_append.put_order(looks, kept))
    looks.take(ids, names, places)
