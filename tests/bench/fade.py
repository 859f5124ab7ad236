"""How far fades are from the exact curve, in steps of 16 bits, and how far their end is from the asked time."""

import random

from firmware.light import colour, emitters
from firmware.show import resolve, rig_edit
from firmware.stage.fade import between
from tests.stage.conftest import slots
from tests.vm.tick import stage

_KINDS = ("dim16", "white16", "tint16", "full16")
_FRAME_MS = 22.7


def figures():
    """worst_steps_16bit over level, white, green, saturation and hue slots at random moments of random fades of 0.1 to
    600 s; end_error_frames: from the asked end to the first frame that has arrived. Emitter lamps go straight in light
    from keyframe to keyframe; mix_uv_worst: their worst distance in CIE 1976 u'v' from the continuous path in fades of
    four seconds or longer (40 segments) between whites and pale colours that they can reach; path_uv_40: how far
    40 RGB lamps, all in other colours, leave their paths in a fade of 1 s, up to half the circle of hues;
    path_uv_12: 12 RGBW lamps."""
    dice = random.Random(3)
    worst, end = 0, 0
    for _ in range(60):
        s, a, b = looks(dice)
        seconds = dice.choice((0.1, 1, 3, 30, 600))
        s.go("A", 0)
        s.step(0)
        s.go("B", seconds)
        for u in sorted(dice.random() for _ in range(20)):
            now = int(u * seconds * 1000)
            s.step(now)
            for name in _KINDS:
                worst = max(worst, off(s, name, a, b, now / (seconds * 1000)))
        end = max(end, late(s, seconds))
    return {"worst_steps_16bit": round(worst, 2), "end_error_frames": round(end, 2),
            "mix_uv_worst": round(max(mixed(dice) for _ in range(40)), 5),
            "path_uv_40": round(max(many(dice, 40) for _ in range(3)), 5),
            "path_uv_12": round(max(many(dice, 12, "rgbw16") for _ in range(3)), 5)}


def mixed(dice):
    """Worst Δu'v' of an RGBW lamp from the continuous path, over a random fade of 4 s."""
    s = stage(("rgbw16",), 1)
    f = s.show.rig.fixtures[0]
    for name in "AB":
        s.dial(f, level=1, cct=dice.randint(2800, 7000), hue=dice.uniform(0, 359), sat=dice.choice((0, 0.2, 0.4)))
        s.step(0)
        s.store(name)
    s.go("A", 0)
    s.step(0)
    s.go("B", 4)
    a, b = s.fade_of(f)[:2]
    worst = 0
    for now in range(0, 4000, 37):
        s.step(now)
        asked = resolve.chromaticity(between(a, b, now * 65536 // 4000))
        x, y, _light = emitters.read(f.personality.mix, [v / 65535 for v in slots(s, f.name)])
        if s.miss(f) == 0:
            worst = max(worst, colour.delta_uv(x, y, *asked))
    return worst


def many(dice, count, kind="rgb16"):
    """Worst Δu'v' of so many lamps of a kind, all in other colours, from the nearest place of the continuous path, over
    a random fade of 1 s. Where a lamp is on its path is not judged: it waits until its colour has been worked out. The
    loop's steps come 10 ms apart, as on the chip, and each finds one solution, 6 ms of an RP2040: 40 lamps take 0.4 s
    for the ends alone, so their fade is one segment; 12 lamps have five."""
    s, now = stage((kind,), count), 0
    lamps = s.show.rig.fixtures
    for name in "AB":
        for f in lamps:
            s.dial(f, level=1, cct=dice.randint(2800, 7000), hue=dice.uniform(0, 359), sat=dice.choice((0, 0.2, 0.4)))
        s.step(now)
        s.store(name)
    s.go("A", 0)
    while s.left():
        now += 10
        s.step(now)
    s.go("B", 1)
    start, worst = now, 0
    paths = [[resolve.chromaticity(between(*s.fade_of(f)[:2], k * 512)) for k in range(129)] for f in lamps]
    while now < start + 1000:
        now += 10
        s.step(now)
        if now % 50:
            continue
        for f, path in zip(lamps, paths):
            x, y, _light = emitters.read(f.personality.mix, [v / 65535 for v in slots(s, f.name)])
            if s.miss(f) == 0:
                worst = max(worst, min(colour.delta_uv(x, y, *asked) for asked in path))
    return worst


def looks(dice):
    """A stage with looks A and B of random light inside the lamps' ranges -> (stage, a, b)."""
    s = stage(_KINDS, len(_KINDS))
    for f, name in zip(s.show.rig.fixtures, _KINDS):
        rig_edit.rename(s.show.rig, f, name)
    ends = []
    for name in "AB":
        light = {"level": dice.random(), "cct": dice.randint(2700, 6500), "duv": round(dice.uniform(-0.02, 0.02), 5),
                 "hue": round(dice.uniform(0, 359), 2), "sat": round(dice.uniform(0.01, 1), 4), "mix": 1}
        for lamp in _KINDS:
            s.dial(lamp, **light)
        s.step(0)
        s.store(name)
        ends.append(light)
    return s, ends[0], ends[1]


def off(s, name, a, b, u):
    """Worst difference of a lamp's slots from the exact fade at u, in 16-bit steps."""
    mired = 1e6 / a["cct"] + (1e6 / b["cct"] - 1e6 / a["cct"]) * u
    turn = (b["hue"] - a["hue"] + 180) % 360 - 180
    exact = {
        "level": a["level"] + (b["level"] - a["level"]) * u,
        "cct": (1e6 / mired - 2700) / 3800,
        "duv": (a["duv"] + (b["duv"] - a["duv"]) * u + 0.02) / 0.04,
        "hue": (a["hue"] + turn * u) % 360 / 360,
        "sat": a["sat"] + (b["sat"] - a["sat"]) * u,
        "mix": 1,
    }
    channels = s.show.rig.find(name).personality.channels
    worst = 0
    for channel, value in zip(channels, slots(s, name)):
        d = abs(value - exact[channel[0]] * 65535)
        worst = max(worst, min(d, 65535 - d) if channel[0] == "hue" else d)
    return worst


def late(s, seconds):
    """Frames between the asked end and the first frame with the end's light; the rest of the fade is stepped."""
    end = seconds * 1000
    s.step(int(end - 1))
    before = s.left()
    now = end - 1
    while s.left():
        now += 1
        s.step(int(now))
    return abs(now - end) / _FRAME_MS if before else 1e9
