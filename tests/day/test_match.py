"""Lamps that are matched: by two readings, by eye, and what a trim makes of that in every white; the output trim."""

import pytest

from firmware.show.meter_readings import Readings
from sim import Bench
from tests.ui.hand import pick, right, rows, to

colour = pytest.importorskip("colour", reason="colour-science is not installed: pip install colour-science")


@pytest.fixture(params=["pico2_tft", "pico_oled"])
def b(request):
    """Two lamps of a kind that are not alike."""
    with Bench(board=request.param, show=None) as bench:
        for name in ("A", "B", "C"):
            bench.app.show.rig.add("tint16" if name != "C" else "rgbww", name)
        bench.app.show.save_rig()
        for f in bench.app.show.rig.fixtures:
            bench.app.stage.dial(f, level=0.5, cct=4300)
        bench.run(0.3)
        yield bench


def value(b, name, what):
    """What a lamp is asked for."""
    return b.app.stage.value(b.app.show.rig.find(name), what)


class Lamp:
    """A lamp that is there: it gives what its slots say (ranges of the kind: 2700..6500 K, Duv -0.02..0.02, straight
    over the slot), off by so many mireds and so much Duv."""

    def __init__(self, b, name, mireds, duv):
        self.b, self.at = b, b.app.show.rig.find(name).address - 1
        self.mireds, self.duv = mireds, duv

    def white(self):
        """(K, Duv) that it gives now."""
        self.b.run(0.1)
        share = [(self.b.frame[self.at + n] << 8 | self.b.frame[self.at + n + 1]) / 65535 for n in (2, 4)]
        return 1e6 / (1e6 / (2700 + 3800 * share[0]) + self.mireds), -0.02 + 0.04 * share[1] + self.duv


def apart(one, other):
    """How far two whites are apart in CIE 1976 u'v', by colour-science (Ohno 2013)."""
    points = []
    for kelvin, duv in (one, other):
        u, v = colour.temperature.CCT_to_uv_Ohno2013((kelvin, duv))
        points.append((u, 1.5 * v))
    return ((points[0][0] - points[1][0]) ** 2 + (points[0][1] - points[1][1]) ** 2) ** 0.5


def measure(b, *lamps):
    """The readings of lamps as they are now, rounded as a meter shows them."""
    for lamp, name in zip(lamps, "AB"):
        f = b.app.show.rig.find(name)
        kelvin, duv = lamp.white()
        Readings(b.app.show).add(f, 500, 32768, round(kelvin / 10) * 10, round(duv, 4), 0, b.app.stage.light(f))


def test_b_takes_the_white_of_a(b):
    one, other = Lamp(b, "A", 3, 0.001), Lamp(b, "B", -9, -0.005)
    assert apart(one.white(), other.white()) > 0.006
    measure(b, one, other)
    b.app.open("meter_lamp", b.app.show.rig.find("B"))
    pick(b, "Match")
    assert apart(one.white(), other.white()) < 0.0005
    assert right(b, "Remains") == "nothing" and right(b, "Light") == "the same"
    b.app.open("meter_match", b.app.show.rig.find("B"), b.app.show.rig.find("A"))  # once more: it is not off twice
    assert apart(one.white(), other.white()) < 0.0005
    b.app.undo_last()
    b.app.undo_last()
    assert value(b, "B", "cct") == 4300


def test_what_remains_is_said(b):
    """A is greener than B can be made: Duv +0.02 is the end of its slot, and it is off by -0.01."""
    b.app.stage.dial("A", duv=0.018)
    one, other = Lamp(b, "A", 0, 0.004), Lamp(b, "B", 0, -0.01)
    measure(b, one, other)
    b.app.open("meter_match", b.app.show.rig.find("B"), b.app.show.rig.find("A"))
    assert value(b, "B", "duv") == pytest.approx(0.02)
    left = other.white()[1] - one.white()[1]
    assert left == pytest.approx(-0.012, abs=2e-4)
    assert right(b, "Remains") == "Duv −0.0120"


def test_as_a_trim_it_holds_in_other_whites(b):
    one, other = Lamp(b, "A", 3, 0.001), Lamp(b, "B", -9, -0.005)
    measure(b, one, other)
    b.app.open("meter_match", b.app.show.rig.find("B"), b.app.show.rig.find("A"))
    pick(b, "Keep as its trim")
    for kelvin in (3000, 4300, 5600):
        for name in ("A", "B"):
            b.app.stage.dial(name, cct=kelvin, duv=0.002)
        assert apart(one.white(), other.white()) < 0.001, kelvin
    b.app.undo_last()
    assert "white" not in b.app.show.rig.find("B").trims


def test_by_eye_and_kept(b):
    """Turned until the two look alike; then they are alike in other whites too, and the dial reads the same."""
    one, other = Lamp(b, "A", 0, 0), Lamp(b, "B", -10, -0.004)
    b.app.open("meter_eye", b.app.show.rig.find("B"))
    b.push_turn(5)
    to(b, "± Green")
    b.push_turn(8)
    assert apart(one.white(), other.white()) < 0.0005
    pick(b, "Keep as its trim")
    assert value(b, "B", "cct") == 4300 and apart(one.white(), other.white()) < 0.001
    for name in ("A", "B"):
        b.app.stage.dial(name, cct=3200)
    assert apart(one.white(), other.white()) < 0.001


def test_by_eye_and_left_as_it_was(b):
    before = b.frame
    b.app.open("meter_eye", b.app.show.rig.find("B"))
    b.push_turn(5)
    b.run(0.1)
    assert b.frame != before
    b.tap("back")
    b.run(0.1)
    assert b.frame == before and "white" not in b.app.show.rig.find("B").trims


def test_a_lamp_of_emitters_is_matched_in_its_light(b):
    """C mixes its white; set to 4300 K it reads 4550 K and -0.003. In mired it is then 12.8 off."""
    rig, stage = b.app.show.rig, b.app.stage
    Readings(b.app.show).add(rig.find("A"), 500, 32768, 4300, 0.0, 0, stage.light(rig.find("A")))
    Readings(b.app.show).add(rig.find("C"), 500, 32768, 4550, -0.003, 0, stage.light(rig.find("C")))
    b.app.open("meter_match", rig.find("C"), rig.find("A"))
    assert value(b, "C", "cct") == pytest.approx(1e6 / (1e6 / 4300 + 1e6 / 4300 - 1e6 / 4550), abs=1)
    assert value(b, "C", "duv") == pytest.approx(0.003, abs=1e-5)
    assert "Keep as its trim" not in rows(b)


def test_an_output_trim(b):
    """At most 80 %: at full the slot has 80 % of 65,535, at half 40 %; lifted, it is as before."""
    fixture = b.app.show.rig.find("A")
    b.app.open("lamp", fixture)
    to(b, "Output at most")
    b.push_turn(-20)
    assert fixture.trims["most"] == 80
    for level, wanted in ((1, 0.8), (0.5, 0.4), (0, 0)):
        b.app.stage.dial(fixture, level=level)
        b.run(0.1)
        assert (b.frame[0] << 8 | b.frame[1]) / 65535 == pytest.approx(wanted, abs=2e-4)
    b.cut_power()
    b.boot()
    assert b.app.show.rig.find("A").trims["most"] == 80
    b.app.open("lamp", b.app.show.rig.find("A"))
    to(b, "Output at most")
    b.push_turn(24)
    b.app.stage.dial("A", level=1)
    b.run(0.1)
    assert b.frame[0] == 255 and "most" not in b.app.show.rig.find("A").trims


def test_green_stands_beside_its_fraction(b):
    """Quarter green is about Duv 0.006 (common practice: firmware/light/white.py)."""
    Readings(b.app.show).add(b.app.show.rig.find("A"), 500, 32768, 4300, 0.0061)
    b.app.open("meter_lamp", b.app.show.rig.find("A"))
    assert right(b, "± Green") == "+0.0061  ¼"
