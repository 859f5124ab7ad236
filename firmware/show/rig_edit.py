"""Changes to the rig. Loaded for each of them. The messages of its errors are shown on the screen as they are: they say
what was wrong, and which fixture has the slots."""

from firmware.show.address import at, reach, start
from firmware.show.fixture import Fixture
from firmware.universe import LAMPS, SLOTS, UNIVERSES

NAME_MOST = 24


def add(rig, personality, name=None, address=None):
    """Patch a fixture -> Fixture. personality: an id or a Personality; name None: the personality's; address: 1..1024,
    None for the first free run of slots in what the device sends.

    Errors: ValueError: 64 fixtures for each universe, no room, slots of another fixture, slots outside of one universe,
    a name that is too long or another fixture's.
    """
    most = min(rig.most, LAMPS * rig.universes)
    if len(rig.fixtures) >= most:
        raise ValueError("The rig is full: %d fixtures" % most)
    if isinstance(personality, str):
        personality = rig.personality(personality)
    name = free_name(rig, personality.name) if name is None else _good_name(rig, name, None)
    if address is None:
        address = first_free(rig, personality.slots)
    _check_room(rig, address, personality.slots, None)
    rig.library[personality.id] = personality
    f = Fixture(rig.next, name, personality, address)
    rig.next += 1
    rig.fixtures.append(f)
    rig.changes += 1
    return f


def add_beside(rig, fixture, name):
    """Patch another of a fixture's kind, at the first free run of slots from its universe on. Errors: as add."""
    slots = fixture.personality.slots
    return add(rig, fixture.personality.id, name, first_free(rig, slots, fixture.address - start(fixture.address) + 1))


def remove(rig, fixture):
    """Take a fixture out. Looks keep their light for it."""
    rig.fixtures.remove(fixture)
    rig.changes += 1


def put_back(rig, fixture, index):
    """Undo a removal. Errors: ValueError: its slots or its name have been given to another."""
    _check_room(rig, fixture.address, fixture.personality.slots, fixture)
    _good_name(rig, fixture.name, fixture)
    rig.fixtures.insert(index, fixture)
    rig.changes += 1


def rename(rig, fixture, name):
    """Give a fixture another name. Errors: ValueError: empty, too long, or another fixture's."""
    fixture.name = _good_name(rig, name, fixture)


def move(rig, fixture, address):
    """Give a fixture another start address. Errors: ValueError as in add."""
    _check_room(rig, address, fixture.personality.slots, fixture)
    fixture.address = address
    rig.changes += 1


def swap(rig, fixture, personality):
    """Give a fixture another personality, an id or a Personality, at the same address; looks still work. Errors:
    ValueError where its slots do not fit there."""
    if isinstance(personality, str):
        personality = rig.personality(personality)
    _check_room(rig, fixture.address, personality.slots, fixture)
    rig.library[personality.id] = personality
    fixture.personality = personality
    rig.changes += 1


def trim(rig, fixture, **trims):
    """Set trims of a fixture by name; None removes one."""
    fixture.trims = dict(fixture.trims)  # not the dict that all fixtures without trims share
    for key, value in trims.items():
        if value is None:
            fixture.trims.pop(key, None)
        else:
            fixture.trims[key] = value
    rig.changes += 1


def reorder(rig, fixture, place):
    """Give a fixture another place in the list, 0 and up."""
    rig.fixtures.remove(fixture)
    rig.fixtures.insert(max(0, place), fixture)
    rig.changes += 1


def tick(rig, fixture, done):
    """Tick a fixture on the set-up sheet: the crew has set its address and mode. A later change of either removes the
    tick. done false: remove it."""
    fixture.trims = dict(fixture.trims)
    if done:
        fixture.trims["set"] = [fixture.address, fixture.personality.id]
    else:
        fixture.trims.pop("set", None)


def first_free(rig, count, since=1):
    """The first address from `since` on with `count` free slots in one universe. Errors: ValueError that names the
    longest free run."""
    run, best, taken = 0, 0, rig.used()
    for address in range(since, rig.universes * SLOTS + 1):
        if address % SLOTS == 1:
            run = 0
        run = 0 if taken[address - 1] else run + 1
        best = max(best, run)
        if run == count:
            return address - count + 1
    raise ValueError("No room for %d slots: the longest free run is %d" % (count, best))


def free_name(rig, base):
    """`base`, or base with the first number behind it that no fixture has."""
    names = {f.name for f in rig.fixtures}
    name, n = base[:NAME_MOST].strip(), 2
    while name in names:
        tail = " %d" % n
        name, n = base[:NAME_MOST - len(tail)] + tail, n + 1
    return name


def _good_name(rig, name, fixture):
    """A name without outer blanks. fixture: whose it is to be, or None. Errors: ValueError."""
    name = name.strip()
    if not name:
        raise ValueError("A fixture needs a name")
    if len(name) > NAME_MOST:
        raise ValueError("Name too long: %d letters, can be %d" % (len(name), NAME_MOST))
    for f in rig.fixtures:
        if f.name == name and f is not fixture:
            raise ValueError("%s is taken: slots %s" % (name, reach(f.address, f.personality.slots)))
    return name


def _check_room(rig, address, count, fixture):
    """Errors: ValueError where another fixture than `fixture` has one of these slots, or they do not fit into one
    universe."""
    most = UNIVERSES * SLOTS
    if not isinstance(address, int) or not 1 <= address <= most:
        raise ValueError("Address %s: can be 1 to %s" % (address, at(most)))
    last = (address - 1) % SLOTS + count
    if last > SLOTS:
        raise ValueError("%d slots from %s end at %d: %d is the last" % (count, at(address), last, SLOTS))
    for f in rig.fixtures:
        if f is not fixture and f.address < address + count and address <= f.last():
            raise ValueError("Clash: %s holds %s" % (f.name, reach(f.address, f.personality.slots)))
