"""Load, the device's own supply, groups."""

import random

import pytest

from firmware.battery import EVERY_MS, Battery, charge
from firmware.show import electrical_load, groups, rig_edit
from firmware.ui.pages import lamp_choice
from host import sheet
from sim import Bench


class Lamp:
    """What load.py asks of a fixture."""

    def __init__(self, **trims):
        self.trims = trims


def test_amps_against_worked_examples():
    """Common practice, from memory: 2,400 W at 120 V are 20 A; a 20 A circuit carries 16 A, 1,920 W, of a load that
    lasts (NFPA 70, 210.20: 125 %); 16 A at 230 V are 3,680 W, 80 % of that 2,944 W."""
    assert electrical_load.amps(2400, 120) == 20
    assert not electrical_load.over(1920, 120, 20) and electrical_load.over(1921, 120, 20)
    assert not electrical_load.over(2944, 230, 16) and electrical_load.over(2945, 230, 16)


def test_battery_hours_against_worked_examples():
    """98 Wh for a lamp of 49 W last two hours; four of them for 150 W last 2 h 37 min."""
    assert electrical_load.hours(98, 49) == 2
    assert electrical_load.hours(4 * 98, 150) == pytest.approx(2 + 37 / 60, abs=0.01)
    assert electrical_load.hours(98, 0) is None


def test_gangs_count_and_unknown_lamps_are_told():
    lamps = [Lamp(watts=200, gang=3), Lamp(watts=60), Lamp(), Lamp(gang=2)]
    assert electrical_load.totals(lamps, [0.5, 1, 1, 1]) == (360, 660, 2)


def test_the_page_warns_over_80_per_cent():
    with Bench() as b:
        rig = b.app.show.rig
        rig_edit.trim(rig, rig.find("Key"), watts=1500, gang=2)
        b.app.open("load")
        b.run(0.3)
        assert b.lines[1] == "2 x Key 1500 of 3000 W"
        assert any(line.startswith("Over 80 % of 16 A at full") for line in b.lines)
        assert any("licensed electrician" in line for line in b.lines)
        rig_edit.trim(rig, rig.find("Key"), watts=1472)
        b.run(0.3)
        assert not any("Over 80" in line for line in b.lines)


def test_watts_and_gangs_by_the_knob_and_on_the_sheet():
    with Bench() as b:
        key = b.app.show.rig.find("Key")
        b.app.open("load")
        b.press()
        b.turn(12)
        b.press()
        b.hold()
        b.turn(2)
        b.press()
        assert key.trims["watts"] == 12 and key.trims["gang"] == 3
        page = sheet.page(b.app.show, {})
        assert "3 x Key" in page and "36 W (of 1 of 6 lamps)" in page
        b.app.undo_last()
        assert "gang" not in key.trims


# --- the device's own battery ---


def cell(hours_left):
    """mV of a cell that falls as the table, 10 hours from full to empty; with a millivolt of noise."""
    per_mille = 100 * hours_left
    low, high = 3000, 4150
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if charge(middle) <= per_mille else (low, middle)
    return low


def test_hours_left_from_the_drain():
    supply, dice = Battery(), random.Random(1)
    for minute in range(120):
        left = 10 - minute / 60
        supply.step(minute * EVERY_MS, cell(left) + dice.choice((-1, 0, 1)))
        if minute >= 30:
            assert supply.minutes() / 60 == pytest.approx(left, rel=0.25)
    assert supply.per_cent() == pytest.approx(80, abs=2)
    assert supply.words().endswith("h left")


def test_it_warns_early_and_at_the_last_once_each():
    supply, said = Battery(), []
    for minute in range(620):
        words = supply.step(minute * EVERY_MS, cell(max(0, 10 - minute / 60)))
        if words:
            said.append((minute, words))
    (early, first), (last, second) = said
    assert 470 <= early <= 490 and "plug in soon" in first
    assert 540 <= last <= 560 and "The light goes on to the last" in second and supply.low


def test_charge_falls_with_voltage():
    row = [charge(mv) for mv in range(2900, 4300)]
    assert row == sorted(row) and row[0] == 0 and row[-1] == 1000


def test_on_the_device_to_the_last():
    """The wire goes on, what is dialled is still saved, the screen sleeps; on USB all is forgotten."""
    with Bench() as b:
        b.board.power.on_usb = False
        b.board.power.battery = 3900
        b.run(11)
        # A lithium cobalt cell of 4.2 V at rest: 60 to 75 % at 3.9 V (tables of makers, from memory; common practice).
        assert 60 <= b.app.battery.per_cent() <= 75
        b.board.power.battery = 3500
        b.run(75)
        assert b.app.battery.low and b.app.screen.asleep
        b.app.stage.dial("Key", level=0.9)
        b.run(5)
        key = b.frame[0]
        assert key == int(0.9 * 65536) * 65535 // 65536 >> 8  # the newest packet on the line has it
        b.cut_power()
        b.boot()
        b.run(0.1)
        assert b.frame[0] == key
        assert "Battery nearly empty" in " ".join(entry[1] for entry in b.app.log.entries())
        b.board.power.on_usb = True
        b.run(11)
        assert b.app.battery is None


def test_a_board_that_measures_nothing_says_nothing():
    with Bench() as b:
        b.run(25)
        assert b.app.battery is None


# --- groups ---


def test_groups_pick_lamps_and_lose_those_that_are_gone():
    with Bench() as b:
        rig = b.app.show.rig
        groups.put(b.app.show, "Cyc", [1, 2, 6])
        groups.put(b.app.show, "Lone", [3])
        b.app.open("groups")
        b.run(0.2)
        assert b.lines[1:3] == ["Cyc Key, Fill, Backdrop", "Lone Window"]
        b.press()
        b.run(0.2)
        assert [f.name for f in b.app.page.chosen()] == ["Key", "Fill", "Backdrop"]
        rig_edit.remove(rig, rig.find("Fill"))
        rig_edit.remove(rig, rig.find("Window"))
        assert groups.load(b.app.show) == ([["Cyc", [1, 6]]], None)


def test_bad_groups_are_refused():
    with Bench() as b:
        with pytest.raises(ValueError, match="Pick the lamps"):
            groups.put(b.app.show, "A", [])
        with pytest.raises(ValueError, match="1 to 24 letters"):
            groups.put(b.app.show, " ", [1])
        for n in range(groups.MOST):
            groups.put(b.app.show, "Group %d" % n, [1])
        with pytest.raises(ValueError, match="16 groups"):
            groups.put(b.app.show, "More", [1])
        groups.put(b.app.show, "Group 3", [2])  # one that is there is replaced
        assert ["Group 3", [2]] in groups.load(b.app.show)[0]


def test_an_effect_takes_a_group():
    with Bench() as b:
        groups.put(b.app.show, "Pair", [1, 2])
        found = lamp_choice.targets(b.app)
        assert found[-1] == ("Pair", [1, 2])
        b.app.remembered["lamp"] = 3
        assert lamp_choice.targets(b.app)[lamp_choice.present(b.app, found)][0] == "Window"


def test_removing_a_group_can_be_undone():
    with Bench() as b:
        groups.put(b.app.show, "Pair", [1, 2])
        b.app.open("groups")
        b.hold()
        assert groups.load(b.app.show)[0] == []
        b.app.undo_last()
        assert groups.load(b.app.show)[0] == [["Pair", [1, 2]]]
