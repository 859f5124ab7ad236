"""What the light meter reads of each lamp alone at the mark, and what follows from that for the light that is on.

Saved in readings.json; in memory only while a page of the meter or the slate is open. A reading is a list of eight
whole numbers:

    LUX          1/100 lx
    LEVEL_THEN   the lamp's level when it was measured, 1..65536
    KELVIN       colour temperature, K; 0: not measured
    DUV          1/100000
    ADDRESS      the lamp's start address then
    FINGERPRINT  of its kind and trims then (fixture_fingerprint.py)
    COUNT        how many readings had been taken with it
    DATE         days since 31 December 1999; 0: not known

Beside them stands what a lamp was asked for when its white was measured: [K, Duv in 1/100000]. A reading is outdated
where the lamp has another address, kind or trims now. The mathematics is in light/exposure.py.
"""

from firmware.light import exposure
from firmware.show import file_store
from firmware.show.fixture_fingerprint import fingerprint
from firmware.show.fixture_light import CCT

LUX, LEVEL_THEN, KELVIN, DUV, ADDRESS, FINGERPRINT, COUNT, DATE = range(8)  # the fields of a reading
_MOST_LUX = 500000  # direct sun is about 100,000
_FULL = 65536  # a level of 1
ROLES = ("key", "fill", "backlight")  # what a lamp can be; also the names by which lamps are it unasked
NOBODY = 65535  # in place of a uid: no lamp is it, whatever its name


class Readings:
    """The readings of one show. `faults`: what was damaged, in words. `settings`: "iso", the ISO speed; "angle10", the
    shutter angle in tenths of a degree; "fps100", frames a second in hundredths; "fc", 1 for footcandles; "c", the
    meter's constant (ISO 2720); "key", "fill" and "backlight", uids, 0 for none chosen, NOBODY; "count", readings taken
    so far."""

    def __init__(self, show):
        self._show = show
        self._path = show.folder + "/readings.json"
        data, fault = file_store.load(show.disk, self._path)
        self.faults = [fault] if fault else []
        data = data or {}
        self.settings = {"iso": 800, "angle10": 1800, "fps100": 2400, "fc": 0, "c": exposure.C_FLAT, "key": 0,
                         "fill": 0, "count": 0, "backlight": 0}
        for name in self.settings:
            if isinstance(data.get(name), int) and data[name] >= 0:
                self.settings[name] = data[name]
        if not 240 <= self.settings["c"] <= 540:
            self.settings["c"] = exposure.C_FLAT
        self._readings = {}
        self._asked = {int(uid): asked for uid, asked in data.get("asked", {}).items()}
        for uid, reading in data.get("readings", {}).items():
            if _sound(reading):
                self._readings[int(uid)] = reading

    def save(self):
        """Save readings and settings. Errors: OSError(ENOSPC)."""
        data = dict(self.settings)
        data["readings"] = {str(uid): reading for uid, reading in self._readings.items()}
        data["asked"] = {str(uid): asked for uid, asked in self._asked.items() if uid in self._readings}
        file_store.save(self._show.disk, self._path, data)

    def add(self, fixture, lux, level, kelvin=0, duv=0.0, date=0, asked=None):
        """Add a reading of a lamp alone, and save it; it takes the place of the one before.

        lux: 0.01..500,000; level: the lamp's level then, 16..65536; kelvin: 1000..25000, 0 for not measured; duv:
        -0.05..0.05; date: days, as above; asked: the lamp's light then. Errors: ValueError: a value outside these;
        OSError(ENOSPC): it is not saved.
        """
        if not 0.01 <= lux <= _MOST_LUX:
            raise ValueError("%g lx cannot be: 0.01 to %d (sun: about 100,000)" % (lux, _MOST_LUX))
        if level < 16:
            raise ValueError("%s is out: bring it up to measure it" % fixture.name)
        if kelvin and not 1000 <= kelvin <= 25000:
            raise ValueError("%d K cannot be: 1000 to 25000" % kelvin)
        if not -0.05 <= duv <= 0.05:
            raise ValueError("Duv %+.3f is no white: -0.05 to +0.05" % duv)
        self.settings["count"] += 1
        self._readings[fixture.uid] = [
            int(lux * 100 + 0.5), level, int(kelvin), int(round(duv * 100000)), fixture.address, fingerprint(fixture),
            self.settings["count"], date]
        self._asked.pop(fixture.uid, None)
        if kelvin and asked:
            self._asked[fixture.uid] = asked[CCT:CCT + 2]
        self.save()

    def remove(self, fixture):
        """Remove a lamp's reading -> the reading, or None where there was none. Errors: OSError(ENOSPC)."""
        reading = self._readings.pop(fixture.uid, None)
        self.save()
        return reading

    def get(self, fixture):
        """The reading of a lamp, or None."""
        return self._readings.get(fixture.uid)

    def asked(self, stage, fixture):
        """(K, Duv) that a lamp was asked for when its white was measured; as it is now, where that is not known."""
        kelvin, duv = self._asked.get(fixture.uid) or stage.light(fixture)[CCT:CCT + 2]
        return kelvin, duv / 100000

    def is_outdated(self, fixture):
        """True where a lamp is not as it was when it was measured."""
        reading = self._readings.get(fixture.uid)
        return reading is not None and (
            reading[ADDRESS] != fixture.address or reading[FINGERPRINT] != fingerprint(fixture))

    def lux_at_full(self, fixture):
        """Lux of a lamp alone at full; 0 without a reading."""
        reading = self._readings.get(fixture.uid)
        return reading[LUX] / 100 * _FULL / reading[LEVEL_THEN] if reading else 0

    def lux_now(self, stage, fixture):
        """Lux of a lamp alone at its present level, the master included."""
        level = stage.level_of(fixture) / _FULL
        if stage.blackout:
            return 0
        if stage.full:
            level = 1
        elif not fixture.trims.get("free"):
            level *= stage.master
        return self.lux_at_full(fixture) * level

    def lux_at_mark(self, stage):
        """(lux of all lamps that are measured, how many lamps are on that are not)."""
        lux = unknown = 0
        for f in self._show.rig.fixtures:
            if f.uid in self._readings:
                lux += self.lux_now(stage, f)
            elif stage.level_of(f):
                unknown += 1
        return lux, unknown

    def seconds(self):
        """Exposure time in s."""
        return exposure.shutter(self.settings["angle10"] / 10, self.settings["fps100"] / 100)

    def stop(self, lux):
        """T-stop for light in lux, with the ISO speed, shutter angle and frame rate of the settings; 0 in the dark."""
        return exposure.aperture(lux, self.settings["iso"], self.seconds(), self.settings["c"]) if lux > 0 else 0

    def level_for(self, fixture, stop):
        """Level 0..1 at which a lamp alone gives a T-stop. Errors: ValueError: no reading, or too little light."""
        lux = exposure.illuminance(stop, self.settings["iso"], self.seconds(), self.settings["c"])
        return exposure.levels([fixture.name], [self.lux_at_full(fixture)], [0], lux)[0]

    def lamp(self, part):
        """The fixture that is the "key", the "fill" or the "backlight": the one chosen, else the one of that name, if
        it was given no other part; None without."""
        fixtures, chosen = self._show.rig.fixtures, [self.settings[role] for role in ROLES]
        for f in fixtures:
            if f.uid == self.settings[part]:
                return f
        for f in fixtures:
            if f.name.lower() == part and f.uid not in chosen and self.settings[part] != NOBODY:
                return f
        return None

    def give(self, fixture, part):
        """Make a lamp the "key", "fill" or "backlight", and nothing else; or, where it is that, take it away. Saves.
        Errors: OSError(ENOSPC)."""
        had = self.lamp(part) is fixture
        for role in ROLES:
            if self.lamp(role) is fixture:
                self.settings[role] = NOBODY if fixture.name.lower() == role else 0
        if not had:
            self.settings[part] = fixture.uid
        self.save()

    def last_lux(self, fixture):
        """Lux of the last reading of another lamp; 0 without."""
        found = [self._readings[f.uid] for f in self._show.rig.fixtures if f is not fixture and f.uid in self._readings]
        return max(found, key=lambda reading: reading[COUNT])[LUX] / 100 if found else 0

    def matched(self, fixture):
        """The lamp whose white this one may take over: the key, else the last one whose white was measured; None
        without."""
        found = [f for f in self._show.rig.fixtures
                 if f is not fixture and f.uid in self._readings and self._readings[f.uid][KELVIN]]
        key = self.lamp("key")
        return key if key in found else max(found, key=lambda f: self._readings[f.uid][COUNT]) if found else None

    def ratio(self, stage, part="fill"):
        """(key to fill or another part, the stops between them) at their present levels, each alone; None where one is
        off, not measured, or not there."""
        key, fill = self.lamp("key"), self.lamp(part)
        if key is None or fill is None or key is fill:
            return None
        a, b = self.lux_now(stage, key), self.lux_now(stage, fill)
        return exposure.ratio(a, b) if a > 0 and b > 0 else None

    def fill_for(self, stage, stops, part="fill"):
        """Level 0..1 of the fill, or another part, that puts it so many stops under the key as that is now. Errors:
        ValueError: one is not known, or too little light."""
        key, fill = self.lamp("key"), self.lamp(part)
        if key is None or fill is None:
            raise ValueError("Say which lamps are key and %s" % part)
        return exposure.levels([fill.name], [self.lux_at_full(fill)], [stops], self.lux_now(stage, key))[0]


def put_back(show, fixture, reading):
    """Undo Readings.remove. Errors: OSError(ENOSPC)."""
    readings = Readings(show)
    readings._readings[fixture.uid] = reading
    readings.save()


def exposure_now(show, stage):
    """What a take on the slate has of the exposure: (ISO, shutter angle in tenths of a degree, frames a second in
    hundredths, light at the mark in tenths of a lux, T-stop in hundredths: T655.35 is the most that a record holds)."""
    readings = Readings(show)
    lux = readings.lux_at_mark(stage)[0]
    return (readings.settings["iso"], readings.settings["angle10"], readings.settings["fps100"], int(lux * 10 + 0.5),
            min(65535, int(readings.stop(lux) * 100 + 0.5)))


def _sound(reading):
    """True for what can be a reading."""
    return (isinstance(reading, list) and len(reading) == 8 and all(isinstance(v, int) for v in reading)
            and reading[LUX] > 0 and reading[LEVEL_THEN] > 0)
