"""What the light meter said of each lamp alone at the mark, and what follows for the light that is on.

Kept in readings.json; in memory only while the Meter or Slate page is. A reading is a list [lux * 100, level when it
was taken (0..65536), K, Duv * 100000, start address, check of kind and trims, its number, date]; K 0: no colour meter.
It is old once the lamp's address, kind or trims are others than then. The mathematics: light/exposure.py.
"""

from firmware.light import exposure
from firmware.show import file_store
from firmware.show.fixture_fingerprint import check
from firmware.show.fixture_light import LEVEL

LUX, AT, KELVIN, DUV, ADDRESS, CHECK, COUNT, DATE = range(8)
_MOST_LUX = 500000  # direct sun is about 100,000
_FULL = 65536


class Readings:
    """The readings of one show. `set`: ISO speed "iso", shutter angle "angle10" (tenths of a degree), frames a second
    "fps100" (hundredths), "fc" 1 for footcandles, "key" and "fill" (uids, 0: none chosen). `faults`: in words."""

    def __init__(self, show):
        self._show = show
        self._path = show.folder + "/readings.json"
        data, fault = file_store.load(show.disk, self._path)
        self.faults = [fault] if fault else []
        data = data or {}
        self.set = {"iso": 800, "angle10": 1800, "fps100": 2400, "fc": 0, "key": 0, "fill": 0, "count": 0}
        for name in self.set:
            if isinstance(data.get(name), int) and data[name] >= 0:
                self.set[name] = data[name]
        self._of = {}
        for uid, reading in data.get("readings", {}).items():
            if _sound(reading):
                self._of[int(uid)] = reading

    def save(self):
        """Keep them. Errors: OSError(ENOSPC)."""
        data = dict(self.set)
        data["readings"] = {str(uid): reading for uid, reading in self._of.items()}
        file_store.save(self._show.disk, self._path, data)

    def take(self, fixture, lux, level, kelvin=0, duv=0.0, date=0):
        """Enter a reading of a lamp alone. lux; level: 0..65536, its level then; kelvin 0: not measured. Errors:
        ValueError: what cannot be; OSError(ENOSPC): not kept."""
        if not 0.01 <= lux <= _MOST_LUX:
            raise ValueError("%g lx cannot be: 0.01 to %d (sun: about 100,000)" % (lux, _MOST_LUX))
        if level < 16:
            raise ValueError("%s is out: bring it up to measure it" % fixture.name)
        if kelvin and not 1000 <= kelvin <= 25000:
            raise ValueError("%d K cannot be: 1000 to 25000" % kelvin)
        if not -0.05 <= duv <= 0.05:
            raise ValueError("Duv %+.3f is no white: -0.05 to +0.05" % duv)
        self.set["count"] += 1
        self._of[fixture.uid] = [int(lux * 100 + 0.5), level, int(kelvin), int(round(duv * 100000)), fixture.address,
                                 check(fixture), self.set["count"], date]
        self.save()

    def forget(self, fixture):
        """Take a lamp's reading away -> it, None where there was none. Errors: OSError(ENOSPC)."""
        gone = self._of.pop(fixture.uid, None)
        self.save()
        return gone

    def of(self, fixture):
        """The reading of a lamp, None without one."""
        return self._of.get(fixture.uid)

    def old(self, fixture):
        """True where the lamp is not as it was when it was measured."""
        reading = self._of.get(fixture.uid)
        return reading is not None and (reading[ADDRESS] != fixture.address or reading[CHECK] != check(fixture))

    def full(self, fixture):
        """Lux of a lamp alone at full, 0 without a reading."""
        reading = self._of.get(fixture.uid)
        return reading[LUX] / 100 * _FULL / reading[AT] if reading else 0

    def now(self, stage, fixture):
        """Lux of a lamp alone as it is on now, by the level dialled and the master."""
        level = stage.light(fixture)[LEVEL] / _FULL
        if stage.blackout:
            return 0
        if stage.full:
            level = 1
        elif not fixture.trims.get("free"):
            level *= stage.master
        return self.full(fixture) * level

    def sum(self, stage):
        """(lux at the mark of all lamps that are measured, how many lit ones are not)."""
        fixtures = self._show.rig.fixtures
        unknown = [f for f in fixtures if f.uid not in self._of and stage.light(f)[LEVEL]]
        return sum([self.now(stage, f) for f in fixtures]), len(unknown)

    def seconds(self):
        """Exposure time, s."""
        return exposure.shutter(self.set["angle10"] / 10, self.set["fps100"] / 100)

    def stop(self, lux):
        """T-stop for a light in lux with the set ISO, shutter and frame rate; 0 in the dark."""
        return exposure.aperture(lux, self.set["iso"], self.seconds()) if lux > 0 else 0

    def level_for(self, fixture, stop):
        """Level 0..1 that gives a lamp alone a T-stop. Errors: ValueError: no reading, or too little light."""
        lux = exposure.illuminance(stop, self.set["iso"], self.seconds())
        return exposure.levels([fixture.name], [self.full(fixture)], [0], lux)[0]

    def lamp(self, part):
        """The lamp that is "key" or "fill": the one chosen, else the one of that name; None without."""
        fixtures = self._show.rig.fixtures
        for f in fixtures:
            if f.uid == self.set[part]:
                return f
        for f in fixtures:
            if f.name.lower() == part:
                return f
        return None

    def ratio(self, stage):
        """(key to fill, stops between) as they are on now, each alone; None where one is not known or out."""
        key, fill = self.lamp("key"), self.lamp("fill")
        if key is None or fill is None or key is fill:
            return None
        a, b = self.now(stage, key), self.now(stage, fill)
        return exposure.ratio(a, b) if a > 0 and b > 0 else None

    def fill_for(self, stage, stops):
        """Level 0..1 of the fill so many stops under the key as it is now. Errors: ValueError: not known, or too
        little light."""
        key, fill = self.lamp("key"), self.lamp("fill")
        if key is None or fill is None:
            raise ValueError("Say which lamps are key and fill")
        return exposure.levels([fill.name], [self.full(fill)], [stops], self.now(stage, key))[0]


def put_back(show, fixture, reading):
    """Undo of Readings.forget. Errors: OSError(ENOSPC)."""
    readings = Readings(show)
    readings._of[fixture.uid] = reading
    readings.save()


def exposure_now(show, stage):
    """What the slate keeps of the exposure: (ISO, tenths of a degree of shutter, hundredths of frames a second, tenths
    of a lux at the mark, hundredths of a T-stop)."""
    readings = Readings(show)
    lux = readings.sum(stage)[0]
    return (readings.set["iso"], readings.set["angle10"], readings.set["fps100"], int(lux * 10 + 0.5),
            int(readings.stop(lux) * 100 + 0.5))


def _sound(reading):
    return (isinstance(reading, list) and len(reading) == 8 and all(isinstance(v, int) for v in reading)
            and reading[LUX] > 0 and reading[AT] > 0)
