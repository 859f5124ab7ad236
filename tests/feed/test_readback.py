"""Slots read back into light give the same slots again, for every generic personality; where they cannot, by how much.

The way out is the project's own (resolve, patch, tick), judged elsewhere; here the two are held against each other.
"""

import random

import pytest

from firmware.light import colour, emitters
from firmware.show import resolve_back, rig_edit
from firmware.show.personality_build import build
from firmware.show.personality_builtin import idents, personality
from firmware.show.rig import Rig
from firmware.show.show import Show
from firmware.stage.stage import Stage
from sim.disk import MemoryDisk

_MIXED = ("rgbw", "rgbww", "rgbw16", "rgbww16")  # four emitters and more: many ways to one colour


def one_lamp(kind, address=1, **trims):
    """A stage with one lamp of a kind -> (stage, fixture)."""
    disk = MemoryDisk()
    disk.mkdir("shows")
    disk.mkdir("shows/a")
    show = Show(disk, "shows/a")
    f = show.rig.add(kind, "Lamp", address)
    rig_edit.trim(show.rig, f, **trims)
    return Stage(show), f


def out_of(stage, f, light):
    """The lamp's slots when the stage shows a light."""
    stage.set_fade(f, light, light, 0, 0, 0)
    stage.step(0)
    return bytes(stage.frame[f.address - 1 : f.last()])


def light_of(stage, f, frame):
    return resolve_back.read(f, frame, *stage.trims(f))


def frame_with(f, slots):
    return bytes(f.address - 1) + bytes(slots) + bytes(512 - f.last())


def any_slots(f, dice):
    return bytes(dice.choice((0, 255, dice.randrange(256), dice.randrange(256))) for _ in range(f.personality.slots))


def resolved(kind, dice):
    """Slots that resolve chooses for some light."""
    stage, lamp = one_lamp(kind)
    stage.dial(lamp, level=dice.random(), cct=dice.randint(2700, 6500), duv=dice.uniform(-0.01, 0.01),
               hue=dice.randrange(360), sat=dice.choice((0, dice.random())))
    stage.step(0)
    return bytes(stage.frame[: lamp.personality.slots])


def values(f, slots):
    """The value of each channel, one or two slots."""
    return [slots[c] << 8 | slots[fine] if fine >= 0 else slots[c] for _d, c, fine, *_r in f.personality.channels]


# Steps of the light that is kept, in 65536ths of a slot's range: 1 K of 3,800 K, 0.00001 of 0.04 Duv, 0.01 of 360
# degrees, 1 / 10000 of saturation and mix; an emitter's drive comes from all of them: 0.1 % of its range.
_STEP = {"level": 1, "cct": 17.3, "duv": 16.4, "hue": 2, "sat": 6.6, "mix": 6.6}


@pytest.mark.parametrize("kind", idents())
def test_the_same_slots_again(kind):
    dice = random.Random(kind)
    stage, f = one_lamp(kind, address=7)
    for _ in range(40):
        slots = resolved(kind, dice) if kind in _MIXED else any_slots(f, dice)
        again = out_of(stage, f, light_of(stage, f, frame_with(f, slots)))
        if not kind.endswith("16"):
            assert again == slots
            continue
        for (does, *_r), a, b in zip(f.personality.channels, values(f, slots), values(f, again), strict=True):
            assert abs(a - b) <= _STEP.get(does, 130) / 2 + 1, (does, a, b)


@pytest.mark.parametrize("kind", _MIXED)
def test_four_emitters_are_not_unique_but_the_light_is_the_same(kind):
    """Any drives at all: the slots that come out differ, the light that they make does not (0.002 in u'v', which shows
    side by side: common practice; 1 % of the light of the lamp at full)."""
    dice = random.Random(kind)
    stage, f = one_lamp(kind)
    differ = 0
    for _ in range(100):
        slots = any_slots(f, dice)
        again = out_of(stage, f, light_of(stage, f, frame_with(f, slots)))
        differ += again != slots
        whole = 65535 if kind.endswith("16") else 255
        one, other = [emitters.read(f.personality.mix, [v / whole for v in values(f, s)]) for s in (slots, again)]
        most = sum(e[3] for e in f.personality.emitters)
        assert abs(one[2] - other[2]) <= 0.01 * most
        if one[2] > 0.02 * most:
            assert colour.delta_uv(*one[:2], *other[:2]) <= 0.002 if whole > 255 else 0.006
    assert differ > 30


@pytest.mark.parametrize("curve", ["square", "s", "log", [[6553, 700], [32768, 9000], [65535, 65535]]])
def test_dimming_curves_are_read_through(curve):
    stage, f = one_lamp("dim", curve=curve, strike=3000)
    for slot in range(256):
        again = out_of(stage, f, light_of(stage, f, frame_with(f, [slot])))[0]
        # Below the strike (3000 of 65535, slot 11.7) no light has that slot: the lamp's darkest does.
        assert again == slot if slot > 12 or not slot else again <= 13
    stage, f = one_lamp("dim16", curve="square")
    # Light is drive squared: half of the drive is a quarter of the light (the definition of the square law).
    assert light_of(stage, f, bytes([128, 0] + [0] * 510))[0] == pytest.approx(65536 / 4, rel=0.005)


def test_a_measured_white_is_read_as_it_is():
    """Settings and the whites that a meter showed at them: the readings themselves come back."""
    readings = [[0, 2900, 300], [32768, 4200, -100], [65535, 6100, 200]]
    stage, f = one_lamp("tint16", white=readings)
    for setting, kelvin, duv in readings:
        for green in (0, 32768, 65535):
            slots = bytes([255, 255, setting >> 8, setting & 255, green >> 8, green & 255])
            light = light_of(stage, f, frame_with(f, slots))
            assert abs(light[1] - kelvin) <= 2
            assert abs(light[2] - (duv + (green / 65535 - 0.5) * 4000)) <= 2
            again = out_of(stage, f, light)
            assert abs(values(f, again)[1] - setting) <= 20 and abs(values(f, again)[2] - green) <= 12


def test_a_dimmer_beside_emitters_is_folded_into_the_level():
    names = ("level", "red", "green", "blue")
    channels = [(name, slot, -1, 0, 1, 0, 0) for slot, name in enumerate(names)]
    stage, f = one_lamp(build("x", "X", channels, personality("rgb").emitters))
    slots = bytes([255, 200, 120, 60])
    light = light_of(stage, f, frame_with(f, slots))
    again = out_of(stage, f, light)
    assert max(again[1:]) == 255  # the emitters as far up as that colour goes, the dimmer down to match
    for k in (1, 2, 3):
        assert again[0] / 255 * again[k] == pytest.approx(slots[k], abs=1)


def test_slots_of_nobody_are_kept_raw():
    rig = Rig()
    rig.add("dim", "A", 3)
    frame = bytes([9, 0, 77, 8, 7]) + bytes(95) + bytes([5, 6]) + bytes(410)
    assert resolve_back.raw(rig, frame, 512) == [[1, 9], [4, 8, 7], [101, 5, 6]]
    assert resolve_back.raw(rig, frame, 101) == [[1, 9], [4, 8, 7], [101, 5]]


def test_grab_takes_the_lamps_that_the_feed_reaches():
    stage, f = one_lamp("white", address=24)  # slots 24 and 25
    frame = bytes(range(100)) + bytes(412)
    assert sorted(resolve_back.grab(stage, frame, 25)) == [0, 1]
    assert sorted(resolve_back.grab(stage, frame, 24)) == [0]
