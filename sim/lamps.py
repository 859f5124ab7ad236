"""Lamps that glow: from the slots on the line to the light that a real, imperfect lamp would emit.

A lamp knows its personality (what each slot sets) and its nature (what the lamp really does: dimming curve, white
error, lag, a filament that reddens), which the firmware never sees. Called by the page's server and by tests.
"""

import math

from sim import cie

# What a lamp really does. peak: candela on the axis at full. curve: light = drive ** curve. mired, duv:
# error of its white. span: its white range as a share of what it claims. lag: time constant in s. filament: a
# tungsten bulb. gains: light of single emitters relative to what their maker says.
NATURE = {
    "peak": 2000,
    "curve": 1.0,
    "mired": 0,
    "duv": 0.0,
    "span": 1.0,
    "lag": 0.02,
    "filament": False,
    "gains": {},
}

# A filament's light goes with the 3.4th power of the voltage, its colour temperature with the 0.42nd.
# Source: IES Lighting Handbook, incandescent lamp exponents, from memory.
_REDDENS = 0.42 / 3.4

# A full hue circle of a lamp with red, green and blue emitters inside (CIE xy). Source: common practice.
_WHEEL = ((0.69, 0.305), (0.18, 0.72), (0.145, 0.05))


class Lamp:
    """One lamp on the simulated set. `xyz`: the light that it emits on its axis, Y in candela.

    channels: tuples (does, coarse, fine, low, high, default, snap). emitters: tuples (name, x, y, out). address: first
    slot, 1..512, in a second universe 513..1024. nature: any of NATURE's keys, where the lamp is not perfect.
    """

    def __init__(self, channels, emitters=(), address=1, nature=None):
        self.channels = [tuple(channel) for channel in channels]
        self.emitters = [tuple(emitter) for emitter in emitters]
        self.address = address
        self.nature = dict(NATURE, **(nature or {}))
        self.xyz = (0.0, 0.0, 0.0)  # emitted, on the axis; Y in candela
        self._values = {}
        self._emitted = None  # the values that xyz was made from

    def step(self, slots, seconds):
        """Let time pass with these slots (512 bytes for each line that sends) -> xyz."""
        share = 1.0 if not self._values else 1 - math.exp(-seconds / max(self.nature["lag"], 1e-6))
        for channel in self.channels:
            does, wanted = channel[0], self._physical(channel, slots)
            before = self._values.get(does, wanted)
            self._values[does] = wanted if abs(wanted - before) < 1e-7 else before + (wanted - before) * share
        if self._values != self._emitted:
            self._emitted = dict(self._values)
            self.xyz = self._emit(self._values)
        return self.xyz

    def _physical(self, channel, slots):
        """The value that a channel's slots set, in the channel's unit. CCT is even in kelvin, from low to high."""
        _does, coarse, fine, low, high = channel[:5]
        if len(slots) < self.address:  # on a cable that nobody sends to
            return low
        raw = slots[self.address - 1 + coarse] / 255
        if fine is not None and fine >= 0:
            raw = (slots[self.address - 1 + coarse] * 256 + slots[self.address - 1 + fine]) / 65535
        return low + (high - low) * raw

    def _emit(self, values):
        """XYZ in candela for channel values."""
        nature = self.nature
        level = max(values.get("level", 1.0), 0.0) ** nature["curve"]
        if nature["filament"]:
            return self._filament(level)
        if self.emitters:
            return self._mixed(values, level)
        x, y = self._white(values)
        if "sat" in values:
            x, y = self._tinted(values, x, y)
        return cie.xyz((x, y), nature["peak"] * level)

    def _filament(self, light):
        """A tungsten bulb at a share of its light: 3000 K at full, redder below."""
        if light < 1e-5:
            return 0.0, 0.0, 0.0
        return cie.xyz(cie.planck(max(3000 * light**_REDDENS, 1000)), self.nature["peak"] * light)

    def _white(self, values):
        """Chromaticity of the lamp's white with its errors: range too short, shifted in mired and in Duv."""
        mired = 1e6 / values.get("cct", 5600)
        mired = 200 + (mired - 200) * self.nature["span"] + self.nature["mired"]
        return cie.white(1e6 / mired, values.get("duv", 0.0) + self.nature["duv"])

    def _mixed(self, values, level):
        """The emitters' light added up; peak is all of them at full."""
        curve, gains = self.nature["curve"], self.nature["gains"]
        whole = sum(out for _name, _x, _y, out in self.emitters)
        total = [0.0, 0.0, 0.0]
        for name, x, y, out in self.emitters:
            light = max(values.get(name, 0.0), 0.0) ** curve * out * gains.get(name, 1.0) / whole
            for i, part in enumerate(cie.xyz((x, y), light * level * self.nature["peak"])):
                total[i] += part
        return tuple(total)

    def _tinted(self, values, x, y):
        """A white tinted by hue and saturation, and crossfaded by mix where the lamp has it."""
        share = values["sat"] * values.get("mix", 1.0)
        hue = values.get("hue", 0.0) % 360 / 120
        first, part = int(hue) % 3, hue % 1
        a, b = _WHEEL[first], _WHEEL[(first + 1) % 3]
        colour = (a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part)
        return x + (colour[0] - x) * share, y + (colour[1] - y) * share
