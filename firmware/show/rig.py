"""The fixtures in use, with names and addresses. The show keeps it; the stage patches from it."""

from firmware.parts import once
from firmware.show import fixture  # noqa: F401  (rig_edit.py and rig_file.py come and go: one class for all fixtures)
from firmware.universe import SLOTS


class Rig:
    """Up to 64 fixtures in the slots of a universe, in the order the user sees. `changes` counts changes of the patch,
    for the stage. What changes the rig is in rig_edit.py, which is loaded for each call."""

    def __init__(self):
        self.fixtures = []
        self.library = {}  # personalities in use, by id: one object each
        self.changes = 0
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
        """A personality by id: one that the show carries, or a built-in one. Errors: ValueError."""
        if ident in self.library:
            return self.library[ident]
        return once("firmware.show.personality_builtin", "personality", ident)

    def used(self):
        """The map of the universe: bytearray of its slots, 0 free, else the fixture's place in the list + 1."""
        out = bytearray(SLOTS)
        for i, f in enumerate(self.fixtures):
            for s in range(f.address - 1, f.last()):
                out[s] = i + 1
        return out

    def add(self, personality, name=None, address=None):
        """As rig_edit.add."""
        return once("firmware.show.rig_edit", "add", self, personality, name, address)
