"""The fixtures in use, with names and addresses. The show keeps it; the stage patches from it.

Messages of its errors are shown as they are on the screen: what was wrong, and which fixture holds the slots.
"""

from firmware.show.personality import unpack

SLOTS = 512
MOST = 64
NAME_MOST = 24


class Fixture:
    """One lamp or device. `uid` stays when it is renamed, moved or given another personality."""

    def __init__(self, uid, name, personality, address):
        self.uid = uid
        self.name = name
        self.personality = personality
        self.address = address
        self.trims = {}  # "curve": name or points; "lag": ms; "free": 1 exempts it from the master; "set": see tick

    def last(self):
        """The last slot it uses, 1..512."""
        return self.address + self.personality.slots - 1

    def ticked(self):
        """True if the crew has set it on the set-up sheet as it is patched now."""
        return self.trims.get("set") == [self.address, self.personality.id]

    def span(self):
        """Its slots in words: "Key 1-6"."""
        if self.personality.slots == 1:
            return "%s %d" % (self.name, self.address)
        return "%s %d-%d" % (self.name, self.address, self.last())


class Rig:
    """Up to 64 fixtures in 512 slots, in the order the user sees. `turn` counts changes of the patch, for the stage."""

    def __init__(self):
        self.fixtures = []
        self.library = {}  # personalities in use, by id: one object each
        self.turn = 0
        self._next = 1

    def __len__(self):
        return len(self.fixtures)

    def find(self, name):
        """The fixture of that name. Errors: KeyError."""
        for f in self.fixtures:
            if f.name == name:
                return f
        raise KeyError(name)

    def personality(self, ident):
        """A personality by id: one that the show carries, or a generic one. Errors: ValueError."""
        if ident in self.library:
            return self.library[ident]
        from firmware.show.generic import generic  # seldom needed: whoever changes the rig drops it again

        try:
            return generic(ident)
        except KeyError:
            raise ValueError("No personality called %s" % ident) from None

    def add(self, personality, name=None, address=None):
        """Patch one more fixture -> Fixture. personality: an id or a Personality; address None: first free run.

        Errors: ValueError: rig full, no room, clash, address outside 1..512, name too long or taken.
        """
        if len(self.fixtures) >= MOST:
            raise ValueError("The rig is full: %d fixtures" % MOST)
        if isinstance(personality, str):
            personality = self.personality(personality)
        name = self.free_name(personality.name) if name is None else self._good_name(name, None)
        if address is None:
            address = self.first_free(personality.slots)
        self._room(address, personality.slots, None)
        self.library[personality.id] = personality
        f = Fixture(self._next, name, personality, address)
        self._next += 1
        self.fixtures.append(f)
        self.turn += 1
        return f

    def remove(self, fixture):
        """Take a fixture out; looks keep what they hold for it."""
        self.fixtures.remove(fixture)
        self.turn += 1

    def put_back(self, fixture, index):
        """Undo of remove. Errors: ValueError if its slots or its name were given away since."""
        self._room(fixture.address, fixture.personality.slots, fixture)
        self._good_name(fixture.name, fixture)
        self.fixtures.insert(index, fixture)
        self.turn += 1

    def rename(self, fixture, name):
        """Errors: ValueError: empty, too long, or another fixture's."""
        fixture.name = self._good_name(name, fixture)

    def move(self, fixture, address):
        """Give a fixture another start address. Errors: ValueError as in add."""
        self._room(address, fixture.personality.slots, fixture)
        fixture.address = address
        self.turn += 1

    def swap(self, fixture, personality):
        """Another model in the same place: looks still work. Errors: ValueError if its slots don't fit there."""
        if isinstance(personality, str):
            personality = self.personality(personality)
        self._room(fixture.address, personality.slots, fixture)
        self.library[personality.id] = personality
        fixture.personality = personality
        self.turn += 1

    def trim(self, fixture, **trims):
        """Set trims by name; None takes one away."""
        for key, value in trims.items():
            if value is None:
                fixture.trims.pop(key, None)
            else:
                fixture.trims[key] = value
        self.turn += 1

    def reorder(self, fixture, place):
        """Give a fixture another place in the list, 0 the first."""
        self.fixtures.remove(fixture)
        self.fixtures.insert(max(0, place), fixture)
        self.turn += 1

    def tick(self, fixture, done):
        """Tick a fixture on the set-up sheet: the crew has set its address and mode. A later change of either
        takes the tick away."""
        if done:
            fixture.trims["set"] = [fixture.address, fixture.personality.id]
        else:
            fixture.trims.pop("set", None)

    def first_free(self, count, start=1):
        """First address from `start` on with `count` free slots. Errors: ValueError with the longest run there is."""
        run, best, used = 0, 0, self.used()
        for address in range(start, SLOTS + 1):
            run = 0 if used[address - 1] else run + 1
            best = max(best, run)
            if run == count:
                return address - count + 1
        raise ValueError("No room for %d slots: the longest free run is %d" % (count, best))

    def used(self):
        """The map of the universe: bytearray of 512, 0 free, else the fixture's place in the list + 1."""
        out = bytearray(SLOTS)
        for i, f in enumerate(self.fixtures):
            for s in range(f.address - 1, f.last()):
                out[s] = i + 1
        return out

    def free_name(self, base):
        """`base`, or base with the first number that makes it new."""
        names = {f.name for f in self.fixtures}
        name, n = base[:NAME_MOST].strip(), 2
        while name in names:
            tail = " %d" % n
            name, n = base[:NAME_MOST - len(tail)] + tail, n + 1
        return name

    def _good_name(self, name, fixture):
        name = name.strip()
        if not name:
            raise ValueError("A fixture needs a name")
        if len(name) > NAME_MOST:
            raise ValueError("Name too long: %d letters, can be %d" % (len(name), NAME_MOST))
        for f in self.fixtures:
            if f.name == name and f is not fixture:
                raise ValueError("%s is taken: slots %d-%d" % (name, f.address, f.last()))
        return name

    def _room(self, address, count, fixture):
        if not isinstance(address, int) or not 1 <= address <= SLOTS:
            raise ValueError("Address %s: can be 1 to 512" % address)
        if address + count - 1 > SLOTS:
            raise ValueError("%d slots from %d end at %d: 512 is the last" % (count, address, address + count - 1))
        for f in self.fixtures:
            if f is not fixture and f.address < address + count and address <= f.last():
                raise ValueError("Clash: %s holds %d-%d" % (f.name, f.address, f.last()))

    def pack(self):
        """Plain JSON values: what `unpack` takes."""
        from firmware.show.generic import generic_ids

        built_in = generic_ids()
        used = {f.personality.id: f.personality for f in self.fixtures}
        return {
            "next": self._next,
            "personalities": [used[i].pack() for i in sorted(used) if i not in built_in],
            "fixtures": [
                {"uid": f.uid, "name": f.name, "personality": f.personality.id, "address": f.address,
                 "trims": f.trims}
                for f in self.fixtures
            ],
        }

    def unpack(self, data):
        """Fill an empty rig from `pack`'s values -> list of faults: fixtures left out, and why."""
        faults = []
        for p in data.get("personalities", ()):
            try:
                p = unpack(p)
                self.library[p.id] = p
            except (ValueError, KeyError, TypeError) as e:
                faults.append("Personality left out: %s" % e)
        for item in data["fixtures"]:
            try:
                f = self.add(item["personality"], item["name"], item["address"])
                f.uid = item["uid"]
                f.trims = item.get("trims", {})
            except (ValueError, KeyError, TypeError) as e:
                faults.append("Fixture %s left out: %s" % (item.get("name", "?"), e))
        self._next = max([data.get("next", 1)] + [f.uid + 1 for f in self.fixtures])
        return faults
