"""What a person with a light meter and a colour meter would read at one lamp in the dark, as trims for the device.

For each lamp: nine levels, the whites if it has them, and how fast it follows. The readings are rounded as a meter
shows them; the firmware's own light/trims.py makes trims of them.
"""

from firmware.light import trims
from firmware.universe import SLOTS
from sim import cie
from sim.lamps import Lamp

_DRIVES = (0.05, 0.1, 0.18, 0.28, 0.4, 0.55, 0.7, 0.85, 1.0)
_SETTINGS = (0.0, 0.17, 0.33, 0.5, 0.67, 0.83, 1.0)
_SETTLE = 60.0  # s, far beyond any lag
_FULL = 65535


def measured(lamp):
    """Trims of a lamp (sim/lamps.Lamp) as rig.trim takes them: curve, white where it has one, lag in ms."""
    found = {"curve": _curve(lamp), "lag": _lag(lamp)}
    if any(channel[0] == "cct" for channel in lamp.channels) and not lamp.emitters:
        found["white"] = _white(lamp)
    return found


def _curve(lamp):
    readings = [(drive, _digits(_settled(lamp, level=drive)[1])) for drive in _DRIVES]
    return [[round(drive * _FULL), round(light * _FULL)] for drive, light in trims.dimming(readings)]


def _white(lamp):
    """Readings [setting 0..65535, K, Duv in 1/100000] at full."""
    out = []
    for setting in _SETTINGS:
        cct, duv = cie.measure(_settled(lamp, level=1.0, cct=setting))
        out.append([round(setting * _FULL), round(cct / 10) * 10, round(duv * 10_000) * 10])
    return out


def _lag(lamp):
    """From the times at which a step to full has reached 10 and 90 per cent of its light."""
    one, slots = _copy(lamp), _slots(lamp, {"level": 1.0})
    one.step(bytes(SLOTS), _SETTLE)
    full, times, ms = _settled(lamp, level=1.0)[1], [], 0
    for share in (0.1, 0.9):
        while one.xyz[1] < share * full:
            one.step(slots, 0.001)
            ms += 1
        times.append(ms)
    return round(trims.lag(*times))


def _settled(lamp, **shares):
    """XYZ of the lamp alone, once its light no longer changes. shares: 0..1 of level and other channels."""
    return _copy(lamp).step(_slots(lamp, shares), _SETTLE)


def _copy(lamp):
    return Lamp(lamp.channels, lamp.emitters, lamp.address, lamp.nature)


def _slots(lamp, shares):
    """Slots as set by hand on a desk's faders: emitters follow the level where there is no dimmer, and green stays in
    its middle."""
    slots = bytearray(SLOTS)
    emitters = [emitter[0] for emitter in lamp.emitters]
    dimmer = any(channel[0] == "level" for channel in lamp.channels)
    for does, coarse, fine, *_others in lamp.channels:
        share = shares.get(does, 0.5 if does == "duv" else 0.0)
        if does in emitters:
            share = 1.0 if dimmer else shares.get("level", 0.0)
        value = round(share * _FULL)
        slots[lamp.address - 1 + coarse] = value >> 8
        if fine >= 0:
            slots[lamp.address - 1 + fine] = value & 255
    return bytes(slots)


def _digits(value):
    """Three digits, as a light meter shows them."""
    return float(f"{value:.3g}")
