"""How far three lamps of different makes are apart during a fade of three seconds, with trims and without.

Simulated, with pure functions of firmware/light only: each lamp has a dimming curve, a white and a lag of its own.
Its trims are made from readings as a user takes them: nine lux readings, seven of a colour meter, one step timed; the
meters are off by up to 1 %, 8 K and 0.0002 Duv. Slots are 16 bits for level, 8 for white and green, a frame 22.7 ms.
"""

import math
import random

from firmware.light import colour, curves, trims, white

_FRAME, _STEP, _FADE = 0.0227, 0.001, 3.0
_LOWEST, _HIGHEST = 2800, 6500  # K: what the makers say of the colour-temperature slot's ends
_GREENEST = 0.03  # Duv: half the range of the green slot
_DRIVES = (0.05, 0.1, 0.2, 0.3, 0.45, 0.6, 0.75, 0.9, 1.0)
_SETTINGS = (0, 0.1, 0.25, 0.45, 0.65, 0.85, 1)

# name: light of drive, (K, Duv) of the white slot 0..1, dead time and time constant in s.
LAMPS = {
    "panel": (lambda d: d, lambda s: (2800 + 3700 * s, 0.0), 0.0, 0.002),
    "tube": (lambda d: d * d, lambda s: (2950 + 3200 * s**1.2, 0.005 - 0.012 * s * (1 - s)), 0.015, 0.05),
    "fresnel": (lambda d: (3 - 2 * d) * d * d, lambda s: (2700 + 4100 * s**0.9, -0.004 + 0.003 * s), 0.02, 0.09),
}
# Fades: (shape, stops at the start); all end at full, and go from 3200 K to 5600 K in mired.
FADES = {"s": (lambda u: (3 - 2 * u) * u * u, -4), "linear": (lambda u: u, -2)}


def figures():
    """stops_*: worst difference between any two lamps' shares of their light; duv_uv_*: worst distance in CIE 1976
    u'v'. Over both fades, from half a second before to one after, at every millisecond."""
    off, on = ([fade(shape, trimmed) for shape in FADES] for trimmed in (False, True))
    found = {
        "stops_off": max(f[0] for f in off),
        "stops_on": max(f[0] for f in on),
        "duv_uv_off": max(f[1] for f in off),
        "duv_uv_on": max(f[1] for f in on),
    }
    for shape, (stops, uv) in zip(FADES, on, strict=True):
        found.update({f"stops_on_{shape}": stops, f"duv_uv_on_{shape}": uv})
    return {key: round(value, 5) for key, value in found.items()}


def fade(name, trimmed):
    """Worst (stops, u'v') between the lamps during one fade."""
    dice = random.Random(4)
    lamps = [Lamp(*LAMPS[lamp], dice if trimmed else None) for lamp in sorted(LAMPS)]
    slowest = max(lamp.early for lamp in lamps)
    worst_stops = worst_uv = 0.0
    for n in range(int((_FADE + 1.5) / _STEP)):
        now = n * _STEP - 0.5
        seen = [lamp.at(now, lambda t: look(name, t - slowest)) for lamp in lamps]
        lights = [s[2] for s in seen]
        worst_stops = max(worst_stops, math.log2(max(lights) / min(lights)))
        for k in range(3):
            worst_uv = max(worst_uv, colour.delta_uv(*seen[k][:2], *seen[k - 1][:2]))
    return worst_stops, worst_uv


def look(name, t):
    """Wanted (level, K) at a time of the fade."""
    shape, stops = FADES[name]
    u = min(max(t / _FADE, 0.0), 1.0)
    low = 2.0**stops
    return low + (1 - low) * shape(u), white.between(3200, 5600, u)


class Lamp:
    """One lamp, and what the controller knows of it: its trims, or the maker's sheet."""

    def __init__(self, curve, whites, dead, settling, meters):
        self.curve, self.whites, self.dead, self.settling = curve, whites, dead, settling
        self.early, self.table, self.mapped = 0.0, None, None
        self.slots, self.sent, self.xyz = [], -1, None
        if meters:
            self._measure(meters)

    def _measure(self, meters):
        lux = [(d, 800 * self.curve(d) * (1 + meters.uniform(-0.01, 0.01))) for d in _DRIVES]
        self.table = curves.from_points(trims.dimming(lux))
        readings = []
        for s in _SETTINGS:
            cct, duv = self.whites(s)
            readings.append((s, cct + meters.uniform(-8, 8), duv + meters.uniform(-0.0002, 0.0002)))
        self.mapped = trims.white_map(readings)
        times = [self.dead - self.settling * math.log(1 - share) for share in (0.1, 0.9)]
        self.early = trims.lag(*times)

    def at(self, now, wanted):
        """Chromaticity and light (x, y, share) at a time: call with rising times, a step apart."""
        frame = int((now + 1) / _FRAME)
        if frame != self.sent:
            self.sent = frame
            self.slots.append((now, self._slots(*wanted(frame * _FRAME - 1 + self.early))))
        told = [s for s in self.slots if s[0] <= now - self.dead] or self.slots[:1]
        self.slots = self.slots[-4:]
        goal = self._light(told[-1][1])
        if self.xyz is None:
            self.xyz = goal
        share = 1 - math.exp(-_STEP / self.settling)
        self.xyz = [old + (new - old) * share for old, new in zip(self.xyz, goal, strict=True)]
        x, y, z = self.xyz
        return x / (x + y + z), y / (x + y + z), y

    def _slots(self, level, cct):
        """Level of 16 bits, white and green of 8: what goes on the line."""
        if self.table is None:
            drive, setting, green = level * 65535, (cct - _LOWEST) / (_HIGHEST - _LOWEST), 0
        else:
            drive = curves.apply(self.table, int(level * 65536))
            setting, green, _ = trims.white_setting(self.mapped, cct)
        setting = min(max(setting, 0.0), 1.0)
        return round(drive), round(setting * 255), round((green / _GREENEST + 1) * 127.5)

    def _light(self, slots):
        """XYZ of a steady lamp."""
        cct, duv = self.whites(slots[1] / 255)
        x, y = white.xy(cct, duv + (slots[2] / 127.5 - 1) * _GREENEST)
        light = self.curve(slots[0] / 65535)
        return [light * x / y, light, light * (1 - x - y) / y]
