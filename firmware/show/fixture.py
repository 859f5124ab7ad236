"""One lamp or device of the rig. Used by the rig, the stage and the pages."""


class Fixture:
    """One lamp or device. `uid` stays when it is renamed, moved or given another personality; `address`: 1..1024, as
    address.py has it."""

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

    def ticked(self):
        """True if the crew has set it on the set-up sheet as it is patched now."""
        return self.trims.get("set") == [self.address, self.personality.id]
