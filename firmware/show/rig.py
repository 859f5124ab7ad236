"""The fixtures in use, with names and addresses. A show has one; the stage patches from it."""

from firmware.parts import once
from firmware.show.fixture import Fixture  # noqa: F401  (the modules that make these two come and go, but there
from firmware.show.personality import Personality  # noqa: F401  may be one class only for all that are made)
from firmware.universe import LAMPS, SLOTS, UNIVERSES


class Rig:
    """The fixtures, and where they are in one universe or two. `fixtures`: in the user's order, only to be read; what
    changes them is in rig_edit.py, which is loaded for each call. `changes` counts changes of the patch, for the stage;
    `universes`: how many the device sends, for which there are 64 fixtures each; `most`: what it has memory for."""

    universes = 1
    most = UNIVERSES * LAMPS

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
        """The personality of that id, of the show or built in. Errors: ValueError: there is none."""
        if ident in self.library:
            return self.library[ident]
        return once("firmware.show.personality_builtin", "personality", ident)

    def slots(self):
        """How many slots its frame has: those of one universe, or of two where a lamp is in the second."""
        for f in self.fixtures:
            if f.address > SLOTS:
                return 2 * SLOTS
        return SLOTS

    def used(self):
        """The map of the universes that are sent or used: a byte for each slot, 0 for a free one, else the place of its
        fixture in `fixtures` + 1."""
        out = bytearray(max(self.slots(), self.universes * SLOTS))
        for i, f in enumerate(self.fixtures):
            for s in range(f.address - 1, f.last()):
                out[s] = i + 1
        return out

    def add(self, personality, name=None, address=None):
        """As rig_edit.add."""
        return once("firmware.show.rig_edit", "add", self, personality, name, address)
