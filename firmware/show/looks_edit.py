"""What changes the looks of a show. Loaded by looks.Looks for each of its verbs."""

from firmware.show import file_store
from firmware.show.file_format import unseal

MOST = 200
NAME_MOST = 24


def store(looks, name, lights, fade_ms=2000):
    """Keep light under a name; a look of that name is replaced. lights: {uid: light}. -> the look's number.

    Errors: ValueError: 201st look, name empty or too long; OSError ENOSPC from the disk: nothing changed.
    """
    name = good_name(name)
    new = name not in looks.names()
    if new and len(looks) >= MOST:
        raise ValueError("The show is full: %d looks. Delete one first" % MOST)
    if new:
        _store_new(looks, looks.highest + 1, name, lights, fade_ms)
    else:
        _write(looks, looks.number(name), name, lights, fade_ms)
    return looks.number(name)


def rename(looks, name, new):
    """Errors: ValueError: no such look, bad name, the name of another look; OSError ENOSPC: nothing changed."""
    at = looks.index(name)
    new = good_name(new)
    if new == name:
        return
    if new in looks.names():
        raise ValueError("%s is another look" % new)
    lights, fade_ms = looks.recall(name)
    _write(looks, looks.ids[at], new, lights, fade_ms)
    names = looks.names()
    names[at] = new
    _order(looks, looks.ids, names)


def copy(looks, name, new):
    """Keep the same light under another name too. Errors: as store; ValueError if the name is taken."""
    if good_name(new) in looks.names():
        raise ValueError("%s is another look" % new)
    lights, fade_ms = looks.recall(name)
    store(looks, new, lights, fade_ms)


def set_fade(looks, name, fade_ms):
    """Give a look another fade time of its own. Errors: as recall; OSError ENOSPC: nothing changed."""
    lights, _old = looks.recall(name)
    _write(looks, looks.ids[looks.index(name)], name, lights, fade_ms)


def saved(looks, name):
    """The look as it lies on flash now: what bring_back takes. Errors: ValueError: no such look; OSError."""
    number = looks.number(name)
    return number, looks.disk.read(looks.path(number))


def bring_back(looks, saved):
    """Undo of a store over a look: its light, raw slots and fade time are as they were. Errors: ValueError: it was
    deleted or damaged; OSError ENOSPC: nothing changed."""
    number, data = saved
    look, why = unseal(data)
    if look is None or number not in list(looks.ids):
        raise ValueError("The older light cannot come back: the look %s" % (why or "is deleted"))
    look["name"] = looks.name_of(number)
    file_store.save(looks.disk, looks.path(number), look)


def remove(looks, name):
    """Delete a look -> what put_back takes. Errors: ValueError."""
    at = looks.index(name)
    gone = looks.ids[at], at, name, looks.disk.read(looks.path(looks.ids[at]))
    file_store.remove(looks.disk, looks.path(looks.ids[at]))
    ids, names = list(looks.ids), looks.names()
    del ids[at], names[at]
    looks.take(ids, names)
    mend(looks)
    return gone


def put_back(looks, gone):
    """Undo of remove: the look has its old number and place. Errors: ValueError: its name is taken, the show is
    full, or it was damaged; OSError ENOSPC: nothing changed."""
    ident, place, name, data = gone
    look, why = unseal(data)
    if look is None:
        raise ValueError("%s %s: it cannot come back" % (name, why))
    if name in looks.names() or ident in list(looks.ids):
        raise ValueError("There is another look %s now" % name)
    if len(looks) >= MOST:
        raise ValueError("The show is full: %d looks. Delete one first" % MOST)
    file_store.save(looks.disk, looks.path(ident), look)
    ids, names = list(looks.ids), looks.names()
    ids.insert(place, ident)
    names.insert(place, name)
    _order(looks, ids, names)


def move(looks, name, place):
    """Give a look another place in the order, 0-based. Errors: ValueError; OSError ENOSPC: nothing changed."""
    at = looks.index(name)
    ids, names = list(looks.ids), looks.names()
    ids.insert(place, ids.pop(at))
    names.insert(place, names.pop(at))
    _order(looks, ids, names)


def _store_new(looks, ident, name, lights, fade_ms):
    """The order first: until the look's own file is there, it is not a look."""
    ids, names = list(looks.ids), looks.names()
    _order(looks, ids + [ident], names + [name])
    try:
        _write(looks, ident, name, lights, fade_ms)
    except OSError:
        looks.take(ids, names)
        mend(looks)
        raise


def _write(looks, ident, name, lights, fade_ms):
    looks.disk.mkdir(looks.folder)
    rows = [[uid] + list(lights[uid]) for uid in sorted(lights) if uid]
    look = {"name": name, "fade_ms": fade_ms, "lights": rows}
    if 0 in lights:
        look["raw"] = lights[0]
    file_store.save(looks.disk, looks.path(ident), look)


def _order(looks, ids, names):
    """Keep a new order, then take it. Errors: OSError: all is as before."""
    file_store.save(looks.disk, looks.order_path, {"looks": list(zip(ids, names))})
    looks.take(ids, names)
    looks.highest = max(looks.highest, max(ids, default=0))


def mend(looks):
    """Keep the order after looks went or came without it; a disk that can't keep it loses nothing."""
    try:
        _order(looks, looks.ids, looks.names())
    except OSError:
        pass  # the next load finds the same again


def good_name(name):
    """The name without outer blanks. Errors: ValueError: empty or too long."""
    name = name.strip()
    if not name:
        raise ValueError("A look needs a name")
    if len(name) > NAME_MOST:
        raise ValueError("Name too long: %d letters, can be %d" % (len(name), NAME_MOST))
    return name
