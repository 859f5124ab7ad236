"""What each slot of a fixture does. Read by the rig (addresses), resolve (light -> slots), host and pages.

A channel is a tuple (does, coarse, fine, low, high, default, snap):
does     one of PARAMS, an emitter's name, or another name (a raw channel)
coarse   slot offset from the start address, 0-based; fine: offset of the low byte, -1 without
low,high physical range from slot 0 to full, in the unit of `does` (K, Duv, degrees, share)
default  0..65535 where nothing is asked of it (raw channels)
snap     1: jumps at the start of a fade, never passes through values between
An emitter is a tuple (name, x, y, out): CIE 1931 chromaticity, relative light at full.
"""

from firmware.show.fixture_light import PARAMS


class Personality:
    """One personality: `channels`, `emitters`, the count of `slots` it fills, and prepared look-ups. Made, after a
    check of all it is made of, by personality_build.build."""

    def __init__(self, ident, name, channels, emitters, slots):
        self.id = ident
        self.name = name
        self.channels = channels
        self.emitters = emitters
        self.slots = slots
        self.emitter_at = {e[0]: i for i, e in enumerate(self.emitters)}
        self.has_dimmer = any(c[0] == "level" for c in self.channels)
        self.mix = None  # the prepared emitter solution, made at first use by resolve

    def has(self, param):
        """True if a light parameter (a name of PARAMS) does something on this lamp."""
        if param == "level":
            return self.has_dimmer or bool(self.emitters)
        if self.emitters and param != "mix":
            return True
        return any(c[0] == param for c in self.channels)

    def extras(self):
        """Names of the raw channels, in slot order."""
        return [c[0] for c in self.channels if c[0] not in PARAMS and c[0] not in self.emitter_at]
