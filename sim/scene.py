"""Light on the set: which spot each fixture has, what light reaches a point, and what meters read there.

The page draws the same solids with a tracer of its own (sim/page/trace.js), so that the picture and the meters here
check each other. No state: the light of the lamps is an argument.
"""

import math

from sim import cie, kitchen

FOOTCANDLE = 10.76391  # lux

# Incident-light calibration constants. Source: ISO 2720:1974 (flat receptor 240..400, dome 320..540); the
# values inside these ranges are common practice.
_C_FLAT = 250
_C_DOME = 340


def spots(names):
    """A spot for each fixture, in order: by its name where the kitchen has one, else on an arc before the subject."""
    return [kitchen.SPOTS.get(name) or _arc(i) for i, name in enumerate(names)]


def _arc(index):
    """A spot for a fixture that the kitchen does not know: every 40 degrees around the subject, 2.4 m away."""
    angle = math.radians(-150 + 40 * index)
    at = (2.4 * math.cos(angle), 2.4 * math.sin(angle), 2.0)
    return {"at": at, "aim": (0.0, 0.0, 1.2), "beam": 60, "size": 0.2, "nature": {}}


def description(names):
    """The whole set as JSON can hold it, with a lamp for each name."""
    lamps = [dict(spot, name=name) for name, spot in zip(names, spots(names), strict=True)]
    return {"camera": kitchen.CAMERA, "mark": kitchen.MARK, "solids": kitchen.SOLIDS, "lamps": lamps}


def intensity(spot, towards):
    """Share of the candela on its axis that a lamp sends in a direction (unit vector). The beam falls off as a power of
    the cosine, and is half at its edge; a bare bulb (beam None) shines evenly."""
    if spot["beam"] is None:
        return 1.0
    axis = _unit(_minus(spot["aim"], spot["at"]))
    cosine = _dot(axis, towards)
    if cosine <= 0:
        return 0.0
    return cosine ** (math.log(0.5) / math.log(math.cos(math.radians(spot["beam"] / 2))))


def falls(spot, point, normal, dome=False, solids=kitchen.SOLIDS):
    """Lux at a point for each candela of a lamp: inverse square, beam, shadow and receptor (a cosine for a flat one, a
    cardioid for a dome, ISO 2720). normal: unit vector out of the surface, or along the axis of the dome."""
    to_lamp = _minus(spot["at"], point)
    distance = math.sqrt(_dot(to_lamp, to_lamp))
    towards = tuple(part / distance for part in to_lamp)
    facing = _dot(normal, towards)
    receptor = (1 + facing) / 2 if dome else max(facing, 0.0)
    light = receptor * intensity(spot, tuple(-part for part in towards)) / distance**2
    return 0.0 if light <= 0 or blocked(point, towards, distance, solids) else light


def blocked(origin, towards, distance, solids=kitchen.SOLIDS):
    """Whether a solid stands between a point and one at a distance from it."""
    near = tuple(o + 2e-3 * t for o, t in zip(origin, towards, strict=True))
    return any(_hits(solid, near, towards, distance - 4e-3) for solid in solids if not solid.get("clear"))


def light(lamps, point, normal, dome=False):
    """XYZ at a point, Y in lux. lamps: pairs (spot, XYZ in candela)."""
    total = [0.0, 0.0, 0.0]
    for spot, emitted in lamps:
        share = falls(spot, point, normal, dome)
        for i in range(3):
            total[i] += share * emitted[i]
    return tuple(total)


def exposure(lux, iso, fps, shutter, dome=True):
    """T-stop (a float) that the light meter gives; None in the dark. iso: speed; fps: frames a second; shutter: angle
    in degrees. Source: ISO 2720, N² / t = E S / C."""
    if lux <= 0:
        return None
    seconds = shutter / 360 / fps
    return math.sqrt(lux * iso * seconds / (_C_DOME if dome else _C_FLAT))


def stop_text(number, parts=10):
    """A T-stop as people say it: the full stop below, and tenths, or as many parts. Full stops are powers of the square
    root of two."""
    if number is None:
        return "dark"
    marks = round(2 * parts * math.log2(number))
    if marks < 0:
        return "under 1"
    full, part = divmod(marks, parts)
    names = ("1", "1.4", "2", "2.8", "4", "5.6", "8", "11", "16", "22", "32", "45", "64")
    return names[min(full, 12)] + (f" +{part}/{parts}" if part else "")


def reading(lamps, point, normal, dome, camera, parts=10):
    """What both meters read at a point: dict of lux, fc, stop, stop_text, cct, duv, xy; None where there is no such
    value; and the parts of a stop and the constant of ISO 2720 that the stop is told with. camera: dict of iso, fps,
    shutter; parts: 10 or 3."""
    tristimulus = light(lamps, point, normal, dome)
    lux = tristimulus[1]
    cct, duv = cie.measure(tristimulus) if lux > 0.01 else (None, None)
    stop = exposure(lux, camera["iso"], camera["fps"], camera["shutter"], dome)
    return {
        "lux": lux,
        "fc": lux / FOOTCANDLE,
        "stop": stop,
        "stop_text": stop_text(stop, parts),
        "parts": parts,
        "constant": _C_DOME if dome else _C_FLAT,
        "cct": cct,
        "duv": duv,
        "xy": [part / sum(tristimulus) for part in tristimulus[:2]] if lux > 0.01 else None,
    }


def _hits(solid, origin, towards, reach):
    """Whether a ray meets a solid before `reach` metres."""
    test = {"box": _hits_box, "ball": _hits_ball, "can": _hits_can}[solid["kind"]]
    return test(solid, origin, towards, reach)


def _hits_box(solid, origin, towards, reach):
    near, far = 0.0, reach
    for o, t, low, high in zip(origin, towards, solid["low"], solid["high"], strict=True):
        if abs(t) < 1e-12:
            if not low < o < high:
                return False
            continue
        a, b = sorted(((low - o) / t, (high - o) / t))
        near, far = max(near, a), min(far, b)
    return near < far


def _hits_ball(solid, origin, towards, reach):
    o = [(part - at) / radius for part, at, radius in zip(origin, solid["at"], solid["radii"], strict=True)]
    t = [part / radius for part, radius in zip(towards, solid["radii"], strict=True)]
    span = _span(_dot(t, t), _dot(o, t), _dot(o, o) - 1)
    return span is not None and span[1] > 0 and span[0] < reach


def _hits_can(solid, origin, towards, reach):
    x, y, z = _minus(origin, solid["at"])
    near, far = 0.0, reach
    around = towards[0] ** 2 + towards[1] ** 2
    if around > 1e-12:
        span = _span(around, x * towards[0] + y * towards[1], x * x + y * y - solid["radius"] ** 2)
        if span is None:
            return False
        near, far = max(near, span[0]), min(far, span[1])
    elif math.hypot(x, y) > solid["radius"]:
        return False
    if abs(towards[2]) < 1e-12:
        return 0 < z < solid["height"] and near < far
    a, b = sorted((-z / towards[2], (solid["height"] - z) / towards[2]))
    return max(near, a) < min(far, b)


def _span(a, half_b, c):
    """The two roots of a t² + 2 half_b t + c, or None."""
    under = half_b * half_b - a * c
    if under <= 0:
        return None
    root = math.sqrt(under)
    return (-half_b - root) / a, (-half_b + root) / a


def _minus(a, b):
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def _dot(a, b):
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _unit(a):
    length = math.sqrt(_dot(a, a))
    return a[0] / length, a[1] / length, a[2] / length
