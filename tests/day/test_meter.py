"""Readings at the mark, and what follows from them."""

import pytest

from firmware.show import rig_edit
from firmware.show.meter_readings import COUNT, DATE, DUV, KELVIN, LUX, Readings
from firmware.ui.pages.meter.meter_steps import next_number
from sim import Bench
from tests.ui.hand import pick


@pytest.fixture
def b():
    """The demo show with a reading of 240 lx for the key at half and 120 lx for the fill at an eighth."""
    with Bench() as bench:
        bench.run(0.2)
        readings, rig = Readings(bench.app.show), bench.app.show.rig
        readings.add(rig.find("Key"), 240, 32768, 5600, 0.002)
        readings.add(rig.find("Fill"), 120, 8192)
        yield bench


def test_sum_stop_and_ratio(b):
    """ISO 2720: N^2 / t = E S / C with C = 250 (a flat receptor). ISO 800, 180 degrees at 24 a second: t = 1/48 s.
    240 lx: N = sqrt(240 * 800 / 48 / 250) = 4.0. Key to fill 240 : 120 = 2 : 1, one stop."""
    readings, rig = Readings(b.app.show), b.app.show.rig
    key, fill = rig.find("Key"), rig.find("Fill")
    assert readings.lux_at_full(key) == pytest.approx(480)
    assert readings.stop(readings.lux_now(b.app.stage, key)) == pytest.approx(4.0, abs=0.01)
    assert readings.lux_at_mark(b.app.stage) == (pytest.approx(360, abs=0.1), 4)
    assert readings.ratio(b.app.stage) == (pytest.approx(2), pytest.approx(1))
    b.app.stage.dial(fill, level=0.25)
    assert readings.ratio(b.app.stage) == (pytest.approx(1), pytest.approx(0, abs=1e-6))
    b.app.stage.master = 0.5
    assert readings.lux_now(b.app.stage, key) == pytest.approx(120, abs=0.1)
    b.app.stage.blackout = True
    assert readings.lux_at_mark(b.app.stage)[0] == 0


def test_light_for_a_stop(b):
    """T2.8 at ISO 800, 1/48 s: E = N^2 C / (S t) = 8 * 250 * 48 / 800 = 120 lx, a quarter of the key's 480 at full."""
    readings, rig = Readings(b.app.show), b.app.show.rig
    assert readings.level_for(rig.find("Key"), 8**0.5) == pytest.approx(0.25, abs=1e-4)
    with pytest.raises(ValueError, match="Key is 1.0 stops short"):
        readings.level_for(rig.find("Key"), (480 * 2 * 800 / 48 / 250) ** 0.5)
    with pytest.raises(ValueError, match="measure it"):
        readings.level_for(rig.find("Back"), 2)


def test_key_to_a_stop_by_the_knob(b):
    b.app.settings["level"] = 1  # thirds
    b.app.open("meter")
    b.run(0.2)
    assert b.lines[1] == "Key T4  240 lx" and b.lines[2] == "Fill T2.8  120 lx"
    b.press()
    b.turn(-3)
    b.run(0.2)
    assert b.lines[1] == "Key T2.8  120 lx"
    assert b.app.stage.value(b.app.show.rig.find("Key"), "level") == pytest.approx(0.25, abs=1e-4)
    b.turn(30)
    b.run(0.2)
    assert "stops short" in b.lines[-1] + b.lines[-2]
    b.tap("back")
    assert b.app.stage.value(b.app.show.rig.find("Key"), "level") == 0.5


def test_ratio_by_the_knob(b):
    b.app.settings["level"] = 1
    b.app.open("meter")
    b.turn(6)
    b.press()
    b.turn(3)  # three thirds more under the key
    b.run(0.2)
    assert "Key : fill 4.0 : 1  2.0 st" in b.lines
    assert b.app.stage.value(b.app.show.rig.find("Fill"), "level") == pytest.approx(0.0625, abs=1e-4)


def test_stops_step_as_levels_do(b):
    """In tenths where the page Light dials tenths: T4 and a tenth is 2 ** 0.1 times the light of T4."""
    assert b.app.settings["level"] == 0
    b.app.open("meter")
    b.press()
    b.turn(1)
    b.run(0.2)
    assert b.lines[1].startswith("Key T4 1/10")
    assert b.app.stage.value(b.app.show.rig.find("Key"), "level") == pytest.approx(0.5 * 2**0.1, rel=1e-3)


def test_the_meters_constant_is_chosen_and_shown(b):
    """ISO 2720: N^2 / t = E S / C. 240 lx at ISO 800 and 1/48 s: 4.0 with C = 250, sqrt(240 * 800 / 48 / 340) = 3.43
    with 340, log2(340 / 250) = 0.44 stop less."""
    b.app.open("meter")
    row = next(n for n, item in enumerate(b.app.page.items) if item == "Meter's head")
    b.turn(row)
    b.run(0.2)
    assert "Meter's head flat, 250" in b.lines
    b.press()
    b.turn(3)
    b.press()
    b.run(0.2)
    assert "Meter's head dome, 340" in b.lines
    readings = Readings(b.app.show)  # it is kept
    assert readings.stop(240) == pytest.approx(3.43, abs=0.005)
    assert readings.level_for(b.app.show.rig.find("Key"), 8**0.5) == pytest.approx(0.25 * 340 / 250, abs=1e-4)


def test_under_the_master_the_stop_is_that_at_the_mark(b):
    b.app.stage.master = 0.5
    b.app.settings["level"] = 1
    b.app.open("meter")
    b.press()
    b.turn(1)  # from T2.8 to a third more
    b.run(0.2)
    assert b.lines[1].startswith("Key T2.8 1/3")
    readings = Readings(b.app.show)
    lux = readings.lux_now(b.app.stage, b.app.show.rig.find("Key"))
    assert readings.stop(lux) == pytest.approx(2 ** (10 / 6), rel=1e-3)


@pytest.mark.parametrize("change", ["address", "trim", "kind"])
def test_a_reading_is_old_when_the_lamp_changed(b, change):
    readings, rig = Readings(b.app.show), b.app.show.rig
    key = rig.find("Key")
    rig_edit.trim(rig, key, watts=90, place="left")  # no change of its light
    assert not readings.is_outdated(key)
    if change == "address":
        rig_edit.move(rig, key, 200)
    elif change == "trim":
        rig_edit.trim(rig, key, curve="square")
    else:
        rig_edit.swap(rig, key, "dim")
    assert readings.is_outdated(key)
    b.app.open("meter")
    b.run(0.2)
    assert b.lines[1].startswith("Key old: T4")


def test_readings_are_kept_with_count_and_date(b):
    b.cut_power()
    b.boot()
    b.app.settings["date"] = 9800
    readings, key = Readings(b.app.show), b.app.show.rig.find("Key")
    assert readings.get(key)[COUNT] == 1 and readings.get(key)[DATE] == 0
    readings.add(key, 250, 65536, date=9800)
    assert Readings(b.app.show).get(key)[COUNT:] == [3, 9800]


@pytest.mark.parametrize(
    ("args", "said"),
    [((900000, 65536), "cannot be"), ((0, 65536), "cannot be"), ((-5, 65536), "cannot be"),
     ((float("nan"), 9), "cannot be"), ((100, 0), "Key is out"), ((100, 65536, 90), "90 K cannot be"),
     ((100, 65536, 5600, 0.2), "no white")])
def test_absurd_readings_are_refused(b, args, said):
    readings, key = Readings(b.app.show), b.app.show.rig.find("Key")
    before = list(readings.get(key))
    with pytest.raises(ValueError, match=said):
        readings.add(key, *args)
    assert Readings(b.app.show).get(key) == before


def test_damaged_readings_are_left_out(b):
    readings = Readings(b.app.show)
    readings._readings[3] = [1, 2]
    readings._readings[4] = [0] * 8
    readings.save()
    assert set(Readings(b.app.show)._readings) == {1, 2}


def test_a_lamp_is_measured_alone_and_the_others_come_back(b):
    """By the knob: it comes up alone, the light goes in by T-stop and then to the figure, the white with the next turn;
    afterwards the others are on again, by the byte. T5.6 at ISO 800, 1/48 s: E = N^2 C / (S t) = 32 * 250 * 48 / 800 =
    480 lx. Then come steps of the third figure, 1 lx."""
    before = b.frame
    b.app.open("meter")
    b.turn(3)
    b.press()
    b.run(0.2)
    rig = b.app.show.rig
    assert [f.name for f in rig.fixtures if b.app.stage.value(f, "level")] == ["Back"]
    page = b.app.page
    page.place, page.lux = 0, 240
    b.turn(3)
    assert page.lux == pytest.approx(480, rel=0.001)
    b.push_turn(7)
    assert round(page.lux) == 487
    b.push_turn(-4)
    b.push_turn(12)
    b.press()
    b.run(0.2)
    reading = Readings(b.app.show).get(rig.find("Back"))
    asked = b.app.stage.value(rig.find("Back"), "cct")
    assert reading[LUX] == 48700 and abs(reading[KELVIN] - (asked - 40)) < 10 and 115 <= reading[DUV] <= 125
    assert b.app.page_name == "meter_read" and b.app.page.lamp.name == "Practical"  # the next without a reading
    assert [f.name for f in rig.fixtures if b.app.stage.value(f, "level")] == ["Practical"]
    b.tap("back")
    b.run(0.5)
    assert b.frame == before


def test_a_light_alone_can_be_kept_without_a_white(b):
    b.app.open("meter_read", b.app.show.rig.find("Back"))
    b.turn(5)
    b.hold("push")
    assert Readings(b.app.show).get(b.app.show.rig.find("Back"))[KELVIN] == 0


def test_a_dimming_curve_is_measured_without_spill(b):
    """While the points are measured no other lamp is on; on the page before that could be undone by itself."""
    before = b.frame
    b.app.open("meter_trim", b.app.show.rig.find("Key"), False)
    b.press()
    b.run(0.2)
    assert [f.name for f in b.app.show.rig.fixtures if b.app.stage.value(f, "level")] == ["Key"]
    b.tap("back")
    b.tap("back")
    b.run(0.3)
    assert b.frame == before


def test_a_role_is_given_and_taken_in_one_push(b):
    rig = b.app.show.rig
    b.app.open("meter_lamp", rig.find("Back"))
    pick(b, "Key light")
    readings = Readings(b.app.show)
    assert readings.lamp("key").name == "Back" and readings.lamp("fill").name == "Fill"
    pick(b, "Key light")
    assert Readings(b.app.show).lamp("key").name == "Key"  # by its name, as before
    b.app.open("meter_lamp", rig.find("Key"))
    pick(b, "Fill light")
    readings = Readings(b.app.show)
    assert readings.lamp("fill").name == "Key" and readings.lamp("key") is None  # not both
    pick(b, "Fill light")
    pick(b, "Backlight")
    pick(b, "Backlight")
    assert [Readings(b.app.show).lamp(role) for role in ("key", "backlight")] == [None, None]
    pick(b, "Key light")
    assert Readings(b.app.show).lamp("key").name == "Key"


def test_steps_of_a_reading_are_one_per_cent_at_most():
    for start in (0.01, 0.3, 1, 9.9, 100, 199, 412, 4999, 120000):
        up, down = next_number(start, 1), next_number(start, -1)
        assert start < up <= max(start * 1.0101, start + 0.0101)
        assert down < start or start <= 0.02
        assert next_number(up, -1) == pytest.approx(start, rel=0.0101)


def test_a_dimming_curve_from_readings(b):
    """A lamp that dims by the square (light = drive^2), measured at five levels: its trim makes half the light half."""
    stage, rig = b.app.stage, b.app.show.rig
    key = rig.find("Key")
    b.app.open("meter_trim", key, False)
    page = b.app.page
    for n, level in enumerate((100, 70, 40, 18, 5)):
        page.at = n
        b.press()
        page.values[level] = 800 * (level / 100) ** 2
        b.press()
    b.turn(1)
    b.press()
    assert key.trims["curve"][-1] == [65535, 65535]
    stage.dial(key, level=0.5)
    b.run(0.2)
    drive = (b.frame[key.address - 1] << 8 | b.frame[key.address]) / 65535
    assert drive**2 == pytest.approx(0.5, abs=0.02)
    b.app.undo_last()
    assert "curve" not in key.trims


@pytest.mark.parametrize("white", [False, True])
def test_a_point_that_is_given_up_is_as_it_was(b, white):
    """Back while a point is dialled: a new one is gone again, one that was measured has its reading."""
    b.app.open("meter_trim", b.app.show.rig.find("Key"), white)
    page = b.app.page
    at = page.item()
    b.press()
    b.turn(5)
    b.tap("back")
    assert b.app.page is page and page.values == {}
    b.press()
    b.turn(5)
    b.press()
    known = dict(page.values)
    assert list(known) == [at]
    b.press()
    b.turn(5)
    assert page.values != known
    b.tap("back")
    assert b.app.page is page and page.values == known


@pytest.mark.parametrize("white", [False, True])
def test_a_point_drives_the_lamp_there(b, white):
    """Slots, big end first: the whole way from the lowest to the highest is 100 %."""
    key = b.app.show.rig.find("Key")
    b.app.open("meter_trim", key, white)
    points = [item for item in b.app.page.items if isinstance(item, int)]
    assert max(points) == 100 and len(points) > 2
    for n, item in enumerate(points):
        b.app.page.at = n
        b.press()
        b.run(0.2)
        at = key.address - 1 + 2 * white
        assert (b.frame[at] << 8 | b.frame[at + 1]) / 65535 == pytest.approx(item / 100, abs=0.002)
        b.press()


def test_readings_out_of_line_make_no_trim(b):
    key = b.app.show.rig.find("Key")
    b.app.open("meter_trim", key, False)
    b.app.page.values = {100: 100, 70: 900, 40: 300}
    b.app.page.at = 5
    b.press()
    b.run(0.2)
    assert "curve" not in key.trims and any("reading at" in line for line in b.lines)


def test_whites_from_readings(b):
    key = b.app.show.rig.find("Key")
    b.app.open("meter_trim", key, True)
    b.app.page.values = {0: 2900, 50: 3900, 100: 6100}
    b.app.page.at = 5
    b.press()
    assert key.trims["white"] == [[0, 2900, 0], [32768, 3900, 0], [65535, 6100, 0]]
    b.app.stage.dial(key, cct=3900)
    b.run(0.2)
    assert (b.frame[key.address + 1] << 8 | b.frame[key.address + 2]) / 65535 == pytest.approx(0.5, abs=0.01)


def test_the_page_in_footcandles(b):
    """1 fc is a lumen a square foot, 1/0.3048**2 lx = 10.764 lx: 240 lx are 22.3 fc, 120 lx 11.1 fc."""
    readings = Readings(b.app.show)
    readings.settings["fc"] = 1
    readings.save()
    b.app.open("meter")
    b.run(0.2)
    assert b.lines[1] == "Key T4  22.3 fc" and b.lines[2] == "Fill T2.8  11.1 fc"
