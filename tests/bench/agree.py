"""How far three lamps of different makes are apart during a fade of three seconds, with trims and without: the whole
device, from the stored look to the frames on its line.

The lamps are not the firmware's: each has a dimming law, a white and a lag of its own, and its light is taken from the
packets of `Bench`. Whites: colour-science (Ohno 2013). A lamp follows what it is told as 1 - exp(-t / lag) in all of
XYZ, as a filament or a smoothed driver does (common practice: makers do not say). Its trims are made from readings as
a user takes them: nine lux readings, seven of a colour meter, one step timed; the meters are off by up to 1 %, 8 K and
0.0002 Duv, the lag is set to the nearest 5 ms, as the knob does.
"""

import functools
import math
import random
import warnings

from firmware.light import trims
from firmware.show import looks_edit, rig_edit
from firmware.show.look_record import SOFT
from sim import Bench

_DRIVES = (0.03, 0.06, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 1.0)
_SETTINGS = (0, 0.1, 0.25, 0.45, 0.65, 0.85, 1)
_FADE_S, _AFTER_S, _STEP_MS = 3, 3, 1
_STOPS = 5  # below full, where a fade begins
_COOL, _WARM = 5600, 3200  # K: at full, and at the other end
_SETS = 6
_CURVES = {"linear": 0, "soft": SOFT}

# name: (light of drive, K and Duv by which its white is off)
LAMPS = {
    "panel": (lambda d: d, 0, 0.0),
    "tube": (lambda d: d**2.2, 300, 0.006),
    "fresnel": (lambda d: (3 - 2 * d) * d * d, -300, -0.006),
}
LAGS = {90: (0, 45, 90), 300: (0, 150, 300)}  # ms, by the greatest of them


def figures():
    """stops_*: worst difference between any two lamps' shares of their light; duv_uv_*: worst distance in CIE 1976
    u'v'; at every millisecond from the moment the device goes to the look to three seconds after the fade's own time.
    off, on: without trims and with them; the worst of linear and soft, up and back, and of six sets of readings, with
    lags up to lag_ms. *_90: with lags up to 90 ms. The rest is the same, case by case."""
    found = {"lag_ms": max(LAGS)}
    worst = {f"{curve}_{lag}": fades(curve, LAGS[lag], range(_SETS)) for lag in LAGS for curve in _CURVES}
    off = [fades(curve, LAGS[max(LAGS)], ()) for curve in _CURVES]
    for k, name in enumerate(("stops", "duv_uv")):
        found[f"{name}_off"] = max(max(way[k] for way in ways) for ways in off)
        for lag in LAGS:
            ways = [way for curve in _CURVES for way in worst[f"{curve}_{lag}"]]
            found[f"{name}_on" + ("" if lag == max(LAGS) else f"_{lag}")] = max(way[k] for way in ways)
    for case, ways in worst.items():
        for way, (stops, uv) in zip(("up", "down"), ways, strict=True):
            found[f"stops_{case}_{way}"], found[f"duv_uv_{case}_{way}"] = stops, uv
    return {key: round(value, 5) for key, value in found.items()}


def fades(curve, lags, seeds):
    """Worst (stops, u'v') between the lamps in a fade up, and in the one back, over sets of readings; () is without
    trims."""
    found = [device(curve, lags, None if seed is None else random.Random(seed)) for seed in seeds or (None,)]
    return [tuple(max(ways[way][k] for ways in found) for k in range(2)) for way in range(2)]


def device(curve, lags, dice):
    """The same of one device. dice: for the readings; None: no trims."""
    with Bench(show=None) as b:
        rig = b.app.show.rig
        lamps = [Lamp(rig.add("tint16", name), *LAMPS[name], lag)
                 for name, lag in zip(sorted(LAMPS), lags, strict=True)]
        for lamp in lamps if dice else ():
            rig_edit.trim(rig, lamp.fixture, **lamp.measured(dice))
        for look, level, cct in (("Low", 2.0**-_STOPS, _WARM), ("High", 1, _COOL)):
            for lamp in lamps:
                b.app.stage.dial(lamp.fixture, level=level, cct=cct)
            b.run(0.1)
            b.app.stage.store(look)
            looks_edit.set_fade(b.app.show.looks, look, _FADE_S * 1000 + _CURVES[curve])
        b.app.stage.go("Low", 0)
        b.run(3)
        for lamp in lamps:
            lamp.settle(b.line.packets[-1][1])
        return [apart(b, look, lamps) for look in ("High", "Low")]


def apart(b, look, lamps):
    """Worst (stops, u'v') between the lamps while the device goes to a look."""
    begin, worst_stops, worst_uv = b.clock.us(), 0.0, 0.0
    b.app.stage.go(look)
    packets = []
    while b.clock.us() - begin < (_FADE_S + _AFTER_S) * 1_000_000:
        b.run(1)
        packets += [p for p in b.line.packets if p[0] >= begin and (not packets or p[0] > packets[-1][0])]
    at = begin
    for start, slots in packets:
        while at < start:
            at += _STEP_MS * 1000
            seen = [lamp.step(_STEP_MS / 1000) for lamp in lamps]
            lights = [y for _u, _v, y in seen]
            worst_stops = max(worst_stops, math.log2(max(lights) / min(lights)))
            worst_uv = max(worst_uv, *(math.dist(seen[k][:2], seen[k - 1][:2]) for k in range(len(seen))))
        for lamp in lamps:
            lamp.told(slots)
    return worst_stops, worst_uv


class Lamp:
    """One lamp: what it makes of its slots."""

    def __init__(self, fixture, law, kelvins, duv, lag_ms):
        self.fixture, self.law, self.kelvins, self.duv, self.lag = fixture, law, kelvins, duv, lag_ms / 1000
        self.channels = {channel[0]: channel for channel in fixture.personality.channels}
        self.goal = self.xyz = None

    def measured(self, meters):
        """Its trims, as rig_edit.trim takes them."""
        lux = [(d, 800 * self.law(d) * (1 + meters.uniform(-0.01, 0.01))) for d in _DRIVES]
        found = {"curve": [[round(d * 65535), round(y * 65535)] for d, y in trims.dimming(lux)], "white": []}
        _does, _coarse, _fine, low, high = self.channels["cct"][:5]
        for s in _SETTINGS:
            kelvin = low + (high - low) * s + self.kelvins + meters.uniform(-8, 8)
            duv = self.duv + meters.uniform(-0.0002, 0.0002)
            found["white"].append([round(s * 65535), round(kelvin), round(duv * 100000)])
        if self.lag:
            times = [-self.lag * math.log(1 - share) + meters.uniform(-0.002, 0.002) for share in (0.1, 0.9)]
            found["lag"] = round(trims.lag(*times) * 200) * 5
        return found

    def told(self, slots):
        """A packet has come."""
        values = {}
        for does, coarse, fine, low, high, *_rest in self.channels.values():
            at = self.fixture.address - 1
            values[does] = low + (high - low) * (slots[at + coarse] * 256 + slots[at + fine]) / 65535
        light = self.law(values["level"])
        x, y = chromaticity(values["cct"] + self.kelvins, values["duv"] + self.duv)
        self.goal = light * x / y, light, light * (1 - x - y) / y

    def settle(self, slots):
        """A packet has been on for a long time."""
        self.told(slots)
        self.xyz = self.goal

    def step(self, seconds):
        """(u', v', share of its light) after a while."""
        share = 1 - math.exp(-seconds / self.lag) if self.lag else 1.0
        self.xyz = [old + (new - old) * share for old, new in zip(self.xyz, self.goal, strict=True)]
        x, y, z = self.xyz
        whole = x + 15 * y + 3 * z
        return 4 * x / whole, 9 * y / whole, y


def chromaticity(kelvin, duv):
    """(x, y) of a white: straight lines between points of colour-science's locus, two mired apart."""
    mired = 1e6 / kelvin
    k, t = divmod(mired, 2)
    (u0, v0, n0, m0), (u1, v1, n1, m1) = locus(int(k)), locus(int(k) + 1)
    t /= 2
    u = u0 + (u1 - u0) * t + duv * (n0 + (n1 - n0) * t)
    v = v0 + (v1 - v0) * t + duv * (m0 + (m1 - m0) * t)
    return 3 * u / (2 * u - 8 * v + 4), 2 * v / (2 * u - 8 * v + 4)


@functools.cache
def locus(k):
    """u, v of the locus at 2 k mired (CIE 1960), and what one unit of Duv adds to each."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    u, v = colour.temperature.CCT_to_uv_Ohno2013([1e6 / (2 * k), 0.0])
    u1, v1 = colour.temperature.CCT_to_uv_Ohno2013([1e6 / (2 * k), 0.01])
    return float(u), float(v), float(u1 - u) / 0.01, float(v1 - v) / 0.01
