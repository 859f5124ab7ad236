"""How the light of each effect runs: generators of 0..65536, one value every 20 ms. Called by stage/effects.py.

Deterministic: the same seed and parameters give the same run. Small ints only, and no allocation once begun. What is
known of the real thing stands with each; what is not named there is by eye (common practice, no source).
"""

from micropython import const

SLOT_MS = const(20)
_ONE = const(65536)
_HALF = const(32768)


class Dice:
    """Random numbers that come again: Wichmann and Hill's generator (AS 183, 1982), whole numbers below 2**30."""

    def __init__(self, seed):
        """seed: 1..9999."""
        self._a = seed
        self._b = seed * 3 % 30307
        self._c = seed * 7 % 30323
        for _ in range(8):  # neighbouring seeds begin alike
            self.roll()

    def roll(self):
        """0..32767, each as likely."""
        self._a = self._a * 171 % 30269
        self._b = self._b * 172 % 30307
        self._c = self._c * 170 % 30323
        return (self._a * 32768 // 30269 + self._b * 32768 // 30307 + self._c * 32768 // 30323) & 32767

    def between(self, low, high):
        """A whole number low..high, at most 32,768 of them."""
        return low + (self.roll() * (high - low + 1) >> 15)

    def slots(self, ms):
        """Slots of a time of half to twice ms, mean 1.25, at least one."""
        return max(1, ms // 4 * (32768 + (self.roll() + self.roll()) * 3 // 2) // 16384 // SLOT_MS)


def lightning(dice, a_minute, strokes, gap):
    """Strokes and re-strokes. From memory of Rakov and Uman, Lightning (2003): 3 to 5 strokes a flash, a fifth of all
    flashes of one only; about 60 ms between strokes (geometric mean); the first is the strongest as a rule; a
    continuing current of some 100 ms follows a part of them."""
    chance = a_minute * 32768 // 3000  # a slot
    while True:
        while dice.roll() >= chance:
            yield 0
        for n in range(dice.between(1, 2 * strokes - 1)):
            v = dice.between(40000 if n else 52000, _ONE if not n else 60000)
            slow = dice.roll() < 8192
            for _ in range(max(2, dice.slots(gap * 7 // 8))):
                yield v
                v = v * 3 // 4 if slow else v // 4
        yield 0


def flame(dice, pace, swing):
    """An open fire: power falls with frequency, about as 1/f (the usual finding for flames; from memory). Voss's sum of
    rolls that are renewed every 1, 2, 4, ... slots, then smoothed."""
    a = b = c = d = v = 0
    n = acc = 0
    while True:
        acc += pace
        while acc >= 200:  # a roll every 40 ms at 100 %
            acc -= 200
            n += 1
            a = dice.roll()
            if not n & 1:
                b = dice.roll()
            if not n & 3:
                c = dice.roll()
            if not n & 15:
                d = dice.roll()
        v += ((a + 2 * b + 3 * c + 4 * d) // 5 - v) // 4
        yield _ONE - (_ONE - min(v, _ONE)) // 100 * swing


def candle(dice, swing, draughts):
    """Mostly steady; a slow wander, and now and then a draught that makes it duck and flutter."""
    chance = draughts * 32768 // 3000
    v, goal, hold, gust = _ONE, _ONE, 0, 0
    while True:
        if not hold:
            hold = dice.between(3, 25)
            goal = _ONE - dice.roll() * 2 // 100 * swing
            if gust:
                gust -= 1
                hold = dice.between(3, 6)
                goal = max(6000, goal - 32 * dice.between(swing * 20, swing * 60))
        hold -= 1
        if not gust and dice.roll() < chance:
            gust, hold = dice.between(2, 6), 0
        v += (goal - v) // (3 if gust else 8)
        yield v


def television(dice, shot, contrast):
    """The light of a screen in a dark room: a new level at each cut, a slow drift and a little life in between."""
    while True:
        v = _ONE - dice.roll() * 2 // 100 * contrast
        goal = _ONE - dice.roll() * 2 // 100 * contrast
        quick = dice.roll() < 5000  # a run of short shots
        n = dice.slots(shot // 4 if quick else shot)
        for _ in range(n):
            v += (goal - v) // (4 * n)
            yield max(0, min(_ONE, v + (dice.roll() - _HALF // 2) // 16 * contrast // 100))


def tube(dice, faults, flickers, dark):
    """A fluorescent tube at the end of its life: steady, then it drops out some times and catches again."""
    chance = faults * 32768 // 3000
    while True:
        while dice.roll() >= chance:
            yield _ONE
        for _ in range(dice.between(1, 2 * flickers - 1)):
            low = dice.between(1000, 9000)
            for _ in range(dice.slots(dark)):
                yield low
            for _ in range(dice.slots(90)):
                yield _ONE - dice.between(0, 12000)


def cars(dice, a_minute, passing):
    """Headlamps that come, are there and are gone: light grows as the inverse square of the way that is left."""
    chance = a_minute * 32768 // 3000
    while True:
        while dice.roll() >= chance:
            yield 0
        peak, n = dice.between(36000, _ONE), dice.slots(passing)
        near = max(1, n * 4 // 5)
        for k in range(near):
            far = 2560 - 2304 * k // near  # from ten lengths away to one
            yield peak * 16 // (far * far >> 12)
        for k in range(n - near):
            yield peak - peak * (k + 1) // (n - near + 1)
        yield 0


def welding(dice, arc, pause, rough):
    """Arcs with pauses; in the arc the light is never still."""
    while True:
        for _ in range(dice.slots(arc)):
            yield _ONE - dice.roll() * 2 // 100 * rough
        for _ in range(dice.slots(pause)):
            yield 0


def low_sun(dice, minutes, way, _source):
    """How high the sun is: 0 at 6 degrees under the horizon (the end of civil twilight), 65536 at 15 above it."""
    slots, p, rest = minutes * 3000, 0, 0
    while True:
        yield _ONE - p if way else p
        if p < _ONE:
            rest += _ONE
            p = min(_ONE, p + rest // slots)
            rest %= slots


def pulse(dice, period, bright, soft):
    """Bright and dark in turn. bright: share of the period; soft: how much of each is the change."""
    n = 0
    whole = max(4, period // SLOT_MS)
    up = max(1, min(whole - 1, whole * bright // 100))
    edge = max(1, min(up, whole - up) * soft // 100)
    while True:
        if n < up:
            yield min(_ONE, _ONE * (n + 1) // edge)
        else:
            yield max(0, _ONE - _ONE * (n - up + 1) // edge)
        n = (n + 1) % whole


def walk(dice, around, wander):
    """Once around, 0..65535, with its pace wandering."""
    p = rest = 0
    pace = _HALF // 2
    slots = around // SLOT_MS
    while True:
        yield p
        pace += (dice.roll() - pace) // 64
        rest += _ONE + (pace - _HALF // 2) * 2 // 100 * wander
        p = (p + rest // slots) & 65535
        rest %= slots


RUNS = {"Lightning": lightning, "Flame": flame, "Candle": candle, "Television": television, "Failing tube": tube,
        "Passing cars": cars, "Welding": welding, "Low sun": low_sun, "Pulse": pulse, "Colour walk": walk}
# Each lamp of these runs by itself; a lightning stroke or a cut on a screen is one for all.
ALONE = ("Flame", "Candle", "Failing tube")

# Light of the sun and sky on the ground by the sun's height: (degrees, hundredths of a stop under that at 15 degrees).
# From memory of the table in RCA's Electro-Optics Handbook (1974): 3.4, 10.8, 453, 732, 4760, 10,900, 18,600 lx.
_HEIGHTS = (-600, -500, -80, 0, 500, 1000, 1500)  # hundredths of a degree
_STOPS = (1242, 1075, 536, 467, 197, 77, 0)
# Colour temperatures by eye and meter (common practice, no source): the low sun itself, and the sky away from it.
_SUN = (1900, 1900, 2000, 2100, 3000, 3700, 4200)
_SKY = (12000, 12000, 10500, 10000, 8500, 7800, 7400)


def sun_level(p):
    """Light 0..65536 of its end for a height p, 0..65536."""
    under = _at(_STOPS, p)
    whole, part = under // 100, under % 100
    top = _ONE >> whole
    return top - top * part // 200  # between two stops by a straight line: 0.09 stop off at most


def sun_kelvin(p, source):
    """K for a height p; source: 0 the sun, 1 the sky."""
    return _at(_SKY if source else _SUN, p)


def _at(column, p):
    height = -600 + (2100 * p >> 16)
    n = 0
    while n < len(_HEIGHTS) - 2 and height >= _HEIGHTS[n + 1]:
        n += 1
    low, span = _HEIGHTS[n], _HEIGHTS[n + 1] - _HEIGHTS[n]
    return column[n] + (column[n + 1] - column[n]) * (height - low) // span
