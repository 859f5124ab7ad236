"""What changes the rig. Loaded by rig.Rig for each of its verbs.

Messages of its errors are shown as they are on the screen: what was wrong, and which fixture holds the slots.
"""

from firmware.show.fixture import Fixture
from firmware.universe import SLOTS

MOST = 64
NAME_MOST = 24


def add(rig, personality, name=None, address=None):
    """Patch one more fixture -> Fixture. personality: an id or a Personality; address None: first free run.

    Errors: ValueError: rig full, no room, clash, address outside the universe, name too long or taken.
    """
    if len(rig.fixtures) >= MOST:
        raise ValueError("The rig is full: %d fixtures" % MOST)
    if isinstance(personality, str):
        personality = rig.personality(personality)
    name = free_name(rig, personality.name) if name is None else _good_name(rig, name, None)
    if address is None:
        address = first_free(rig, personality.slots)
    _room(rig, address, personality.slots, None)
    rig.library[personality.id] = personality
    f = Fixture(rig.next, name, personality, address)
    rig.next += 1
    rig.fixtures.append(f)
    rig.changes += 1
    return f


def remove(rig, fixture):
    """Take a fixture out; looks keep what they hold for it."""
    rig.fixtures.remove(fixture)
    rig.changes += 1


def put_back(rig, fixture, index):
    """Undo of remove. Errors: ValueError if its slots or its name were given away since."""
    _room(rig, fixture.address, fixture.personality.slots, fixture)
    _good_name(rig, fixture.name, fixture)
    rig.fixtures.insert(index, fixture)
    rig.changes += 1


def rename(rig, fixture, name):
    """Errors: ValueError: empty, too long, or another fixture's."""
    fixture.name = _good_name(rig, name, fixture)


def move(rig, fixture, address):
    """Give a fixture another start address. Errors: ValueError as in add."""
    _room(rig, address, fixture.personality.slots, fixture)
    fixture.address = address
    rig.changes += 1


def swap(rig, fixture, personality):
    """Another model in the same place: looks still work. Errors: ValueError if its slots don't fit there."""
    if isinstance(personality, str):
        personality = rig.personality(personality)
    _room(rig, fixture.address, personality.slots, fixture)
    rig.library[personality.id] = personality
    fixture.personality = personality
    rig.changes += 1


def trim(rig, fixture, **trims):
    """Set trims by name; None takes one away."""
    fixture.trims = dict(fixture.trims)  # never into the one that fixtures without trims share
    for key, value in trims.items():
        if value is None:
            fixture.trims.pop(key, None)
        else:
            fixture.trims[key] = value
    rig.changes += 1


def reorder(rig, fixture, place):
    """Give a fixture another place in the list, 0 the first."""
    rig.fixtures.remove(fixture)
    rig.fixtures.insert(max(0, place), fixture)
    rig.changes += 1


def tick(rig, fixture, done):
    """Tick a fixture on the set-up sheet: the crew has set its address and mode. A later change of either
    takes the tick away."""
    fixture.trims = dict(fixture.trims)
    if done:
        fixture.trims["set"] = [fixture.address, fixture.personality.id]
    else:
        fixture.trims.pop("set", None)


def first_free(rig, count, start=1):
    """First address from `start` on with `count` free slots. Errors: ValueError with the longest run there is."""
    run, best, taken = 0, 0, rig.used()
    for address in range(start, SLOTS + 1):
        run = 0 if taken[address - 1] else run + 1
        best = max(best, run)
        if run == count:
            return address - count + 1
    raise ValueError("No room for %d slots: the longest free run is %d" % (count, best))


def free_name(rig, base):
    """`base`, or base with the first number that makes it new."""
    names = {f.name for f in rig.fixtures}
    name, n = base[:NAME_MOST].strip(), 2
    while name in names:
        tail = " %d" % n
        name, n = base[:NAME_MOST - len(tail)] + tail, n + 1
    return name


def _good_name(rig, name, fixture):
    name = name.strip()
    if not name:
        raise ValueError("A fixture needs a name")
    if len(name) > NAME_MOST:
        raise ValueError("Name too long: %d letters, can be %d" % (len(name), NAME_MOST))
    for f in rig.fixtures:
        if f.name == name and f is not fixture:
            raise ValueError("%s is taken: slots %d-%d" % (name, f.address, f.last()))
    return name


def _room(rig, address, count, fixture):
    if not isinstance(address, int) or not 1 <= address <= SLOTS:
        raise ValueError("Address %s: can be 1 to %d" % (address, SLOTS))
    if address + count - 1 > SLOTS:
        raise ValueError("%d slots from %d end at %d: %d is the last" % (count, address, address + count - 1, SLOTS))
    for f in rig.fixtures:
        if f is not fixture and f.address < address + count and address <= f.last():
            raise ValueError("Clash: %s holds %d-%d" % (f.name, f.address, f.last()))
