"""The kinds of effects, against what is known of the real things."""

import hashlib
import math
import statistics

import numpy
import pytest

from firmware.light.effects import low_sun, table
from firmware.light.effects.dice import Dice
from firmware.show import effect_settings
from firmware.show.effect_fields import LEVEL, PARAMS
from tests.day.lit import Lit, module


def sequence(kind, seconds, *params, seed=1):
    run = module(kind).run(Dice(seed), *(params or effect_settings.new(kind, [])[PARAMS]))
    return [next(run) for _ in range(seconds * 50)]


def strokes(values):
    """Slots at which a stroke begins: light rises by a third and more."""
    return [n for n in range(1, len(values)) if values[n] - values[n - 1] > 20000]


def test_lightning_has_the_strokes_and_gaps_of_lightning():
    """Rakov and Uman, Lightning: Physics and Effects (2003), from memory: on average 3 to 5 strokes a flash, 15 to 20 %
    of flashes with one; gaps with a geometric mean of about 60 ms, most of them between 20 and 200."""
    counts, gaps = [], []
    for seed in range(1, 6):
        begun = strokes(sequence("Lightning", 3600, seed=seed))
        flash = [begun[0]]
        for at in begun[1:]:
            if at - flash[-1] > 25:  # half a second: another flash
                counts.append(len(flash))
                flash = []
            else:
                gaps.append((at - flash[-1]) * 20)
            flash.append(at)
    assert 3 <= statistics.mean(counts) <= 5
    assert 0.10 <= counts.count(1) / len(counts) <= 0.25
    assert 45 <= statistics.geometric_mean(gaps) <= 80
    assert sum(20 <= gap <= 200 for gap in gaps) / len(gaps) > 0.9
    assert 5.4 <= len(counts) / 300 <= 6.6  # a minute, as set


@pytest.mark.parametrize("kind", ["Flame", "Candle"])
def test_the_power_of_flames_falls_with_frequency(kind):
    """Flicker of flames has a spectrum that falls, about as 1/f (from memory of the combustion literature). Periodogram
    by numpy, averaged over stretches of 40 s."""
    values = numpy.array(sequence(kind, 1200), float)
    parts = values[: len(values) // 2000 * 2000].reshape(-1, 2000)
    parts = (parts - parts.mean(axis=1, keepdims=True)) * numpy.hanning(2000)
    power = (abs(numpy.fft.rfft(parts)) ** 2).mean(axis=0)
    f = numpy.fft.rfftfreq(2000, 0.02)
    bands = [power[(f >= low) & (f < high)].mean() for low, high in ((0.1, 0.5), (0.5, 2), (2, 6), (6, 20))]
    assert bands[0] > bands[1] > bands[2] > bands[3] > 0
    inside = (f > 0.2) & (f < 10)
    slope = numpy.polyfit(numpy.log(f[inside]), numpy.log(power[inside]), 1)[0]
    assert -3 < slope < -0.7


def test_the_low_sun_against_the_table_of_light_by_height():
    """Illuminance by the sun's altitude, RCA Electro-Optics Handbook (1974), from memory: lx at -6, -5, -0.8, 0, 5, 10
    and 15 degrees. Within a tenth of a stop at the points, rising between them."""
    for height, lux in ((-6, 3.4), (-5, 10.8), (-0.8, 453), (0, 732), (5, 4760), (10, 10900), (15, 18600)):
        p = min(65536, math.ceil((height + 6) / 21 * 65536))
        share = low_sun.level(p) / 65536
        assert abs(math.log2(share / (lux / 18600))) < 0.12, height
    row = [low_sun.level(p) for p in range(0, 65537, 64)]
    assert row == sorted(row)


def test_the_sun_is_warm_when_low_and_the_sky_is_blue():
    """Common practice: the sun at the horizon about 2000 K, the sky over it 10,000 K and more."""
    suns = [low_sun.kelvin(p, (10, 0, 0)) for p in range(0, 65537, 512)]
    skies = [low_sun.kelvin(p, (10, 0, 1)) for p in range(0, 65537, 512)]
    assert suns == sorted(suns) and skies == sorted(skies, reverse=True)
    assert low_sun.kelvin(65536 * 6 // 21, (10, 0, 0)) == pytest.approx(2100, abs=30)
    assert min(skies) > 7000 and max(suns) < 5000


def test_dawn_takes_its_time():
    values = sequence("Low sun", 130, 2, 0, 0)
    assert values[0] == 0 and values[2 * 3000] == 65536 and values[2 * 3000 - 10] < 65536
    assert sequence("Low sun", 130, 2, 1, 0)[6001] == 0


@pytest.mark.parametrize("kind", table.NAMES)
def test_every_model_stays_in_range_and_moves(kind):
    """With every parameter at its least and its most."""
    for end in (2, 3):
        values = sequence(kind, 120, *[spec[end] for spec in effect_settings.kind(kind)[2]])
        assert all(isinstance(v, int) and 0 <= v <= 65536 for v in values)
        assert len(set(values)) > 1


@pytest.mark.parametrize("kind", [kind for kind in table.NAMES if effect_settings.kind(kind)[1] & LEVEL])
def test_the_same_seed_gives_the_same_frames_whatever_the_ticks(kind):
    """With the limit on, the same ticks give the same frames; the limit itself looks at the time of each tick."""
    rows = []
    for tick, seed, limit in ((20, 5, False), (4, 5, False), (20, 6, False), (20, 5, True), (20, 5, True)):
        lit = Lit("dim16")
        lit.effects.keep_limit(limit)
        lit.start(kind, seed=seed, acts=LEVEL)
        rows.append(lit.run(20, tick)[(20 // tick) - 1::20 // tick])
    assert rows[0] == rows[1]
    assert rows[3] == rows[4]
    if kind not in ("Low sun", "Pulse"):  # these have no chance in them
        assert rows[0] != rows[2]


# SHA-256, its first 16 digits, of a minute of values with the parameters at first, for seed 1 and seed 7. Recorded
# while all kinds were still one module: shows that have a kind keep their light.
_DIGESTS = (
    ("Lightning", "8699134d4f7fa5a7", "cf02e8bb864c0a5d"),
    ("Flame", "87497be18bbac375", "c19ea62aa2a44d44"),
    ("Candle", "7085e71fa4c50c29", "7738c7ac5e8aa3ef"),
    ("Television", "41dc919b522ad835", "d5aafa4b970ca31c"),
    ("Failing tube", "125b88103cf1a6d2", "cebb621c15a4ecfb"),
    ("Passing cars", "259f38887da85ad8", "5e4f50bf87589e26"),
    ("Welding", "cba7c49015416c5e", "c2a5759aec44bb10"),
    ("Low sun", "3d077dfdb84de998", "3d077dfdb84de998"),
    ("Pulse", "ec6877b8785b7461", "ec6877b8785b7461"),
    ("Colour walk", "2be42cae6da91dec", "1fe5f253d595ba6f"),
)


@pytest.mark.parametrize(("kind", "one", "seven"), _DIGESTS)
def test_a_seed_gives_the_run_that_it_always_gave(kind, one, seven):
    for seed, digest in ((1, one), (7, seven)):
        values = ",".join(map(str, sequence(kind, 60, seed=seed)))
        assert hashlib.sha256(values.encode()).hexdigest()[:16] == digest


def test_passing_cars_come_and_go():
    values = sequence("Passing cars", 600)
    peaks = [n for n in range(1, len(values) - 1) if values[n - 1] < values[n] >= values[n + 1] and values[n] > 30000]
    assert 50 <= len(peaks) <= 110  # about eight a minute
    at = peaks[3]
    assert values[at - 10] < values[at] // 2  # the inverse square: most of it comes at the end
