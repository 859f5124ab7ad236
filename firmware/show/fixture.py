"""One lamp or device of the rig. Used by the rig, the stage and the pages.

An address is one number for both universes: 1..512 is the first's, 513..1024 the second's. In words the latter are
2.1..2.512.
"""

from firmware.universe import SLOTS


def at(address):
    """An address in words: "101", in the second universe "2.101"."""
    return "%d" % address if address <= SLOTS else "%d.%d" % (
        (address - 1) // SLOTS + 1, (address - 1) % SLOTS + 1)


def reach(address, count, to="-"):
    """The slots of a lamp in words: "101-106", "2.101-106". to: what stands between the first and the last."""
    return at(address) if count == 1 else "%s%s%d" % (at(address), to, (address - 1) % SLOTS + count)


class Fixture:
    """One lamp or device. `uid` stays when it is renamed, moved or given another personality; `address`: 1..1024."""

    # "curve": name or points; "lag": ms; "most": per cent of output; "free": 1 exempts it from the master; "set": see
    # rig_edit.tick. This dict is shared by all fixtures without trims: whoever sets a trim gives the fixture a dict of
    # its own (rig_edit.py).
    trims = {}

    def __init__(self, uid, name, personality, address):
        self.uid = uid
        self.name = name
        self.personality = personality
        self.address = address

    def last(self):
        """The last slot it uses, 1..1024."""
        return self.address + self.personality.slots - 1

    def start(self):
        """What is set on the lamp itself: its address in its universe, 1..512."""
        return (self.address - 1) % SLOTS + 1

    def ticked(self):
        """True if the crew has set it on the set-up sheet as it is patched now."""
        return self.trims.get("set") == [self.address, self.personality.id]

    def span(self):
        """Its slots in words: "Key 1-6"."""
        return "%s %s" % (self.name, reach(self.address, self.personality.slots))
