"""The fixtures in use, with names and addresses. The show keeps it; the stage patches from it."""

from firmware.drop import late

SLOTS = 512
_VERBS = ("add", "remove", "put_back", "rename", "move", "swap", "trim", "reorder", "tick", "first_free",
          "free_name", "pack", "unpack")


class Fixture:
    """One lamp or device. `uid` stays when it is renamed, moved or given another personality."""

    # "curve": name or points; "lag": ms; "free": 1 exempts it from the master; "set": see tick. This one is of all
    # fixtures without trims: whoever sets one gives the fixture a dict of its own (patching.py).
    trims = {}

    def __init__(self, uid, name, personality, address):
        self.uid = uid
        self.name = name
        self.personality = personality
        self.address = address

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
    """Up to 64 fixtures in 512 slots, in the order the user sees. `turn` counts changes of the patch, for the stage.

    Its verbs (_VERBS: add, remove, ...) are the functions of patching.py, with the rig as their first argument.
    """

    def __init__(self):
        self.fixtures = []
        self.library = {}  # personalities in use, by id: one object each
        self.turn = 0
        self.next = 1  # the uid of the next fixture

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

    def used(self):
        """The map of the universe: bytearray of 512, 0 free, else the fixture's place in the list + 1."""
        out = bytearray(SLOTS)
        for i, f in enumerate(self.fixtures):
            for s in range(f.address - 1, f.last()):
                out[s] = i + 1
        return out

    def __getattr__(self, name):
        """A verb."""
        if name in _VERBS:
            return late("firmware.show.patching", name, self)
        raise AttributeError(name)
