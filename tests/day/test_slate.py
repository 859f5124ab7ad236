"""The slate: takes are kept whatever happens, and their light comes back byte for byte."""

import datetime
import random

import pytest

from firmware.show import file_rules, rig_edit
from firmware.show import slate as slates
from firmware.show.dates import day_text
from firmware.show.meter_readings import Readings, exposure_now
from firmware.show.show import Show
from firmware.show.slate import NUMBER, PARTS, SCENE, SETUP, TAKE_NO, TEXT, Slate, differences, pack_lamps
from firmware.stage.stage import Stage
from firmware.ui.pages.slate import slate_log
from sim import Bench
from sim.disk import MemoryDisk, PowerCut

KINDS = ("tint16", "white", "rgbww", "full16", "dim", "rgbw16", "raw4", "tint", "full", "rgb", "dim16", "rgbww16")
WEEK = 7 * 24 * 3600 * 1000


def stage(disk=None, kinds=KINDS):
    """A show with lamps of all kinds, with random light."""
    disk = disk or MemoryDisk()
    disk.mkdir("shows")
    disk.mkdir("shows/a")
    show = Show(disk, "shows/a")
    for n, kind in enumerate(kinds):
        show.rig.add(kind, "Lamp %d" % n)
    s = Stage(show)
    dial(s, random.Random(1))
    return s


def dial(s, dice):
    for f in s.show.rig.fixtures:
        asked = {"level": dice.random(), "cct": dice.randint(2500, 9000), "hue": dice.random() * 360,
                 "sat": dice.choice([0, dice.random()])}
        s.dial(f, **asked)
        for name in f.personality.extras():
            s.dial(f, **{name: dice.randint(0, 65535)})


def entry(scene=1, setup=1, take=1, text=""):
    e = [0] * TEXT + [text]
    e[SCENE], e[SETUP], e[TAKE_NO] = scene, setup, take
    e[slates.MASTER] = 65536
    return e


def takes(slate):
    return [e for e in slate.entries() if e]


def test_a_take_comes_back_from_the_log():
    s = stage()
    slate = Slate(s.show)
    slate.log(entry(12, 3, 4, "good"), pack_lamps(s))
    slate.log(entry(12, 3, 5), pack_lamps(s))
    again = Slate(s.show)
    assert len(again) == 2 and again.last[TAKE_NO] == 5
    newest, oldest = takes(again)
    assert (oldest[NUMBER], oldest[SCENE], oldest[SETUP], oldest[TAKE_NO], oldest[TEXT]) == (1, 12, 3, 4, "good")
    assert newest[slates.OFFSET] == oldest[slates.OFFSET]  # one light for both
    lamps = again.lamps(oldest)
    assert [lamp[1] for lamp in lamps] == [f.name for f in s.show.rig.fixtures]
    assert [lamp[4] for lamp in lamps] == [s.light(f)[:6] + [{}] for f in s.show.rig.fixtures]


@pytest.mark.parametrize("board", ["pico2_tft", "pico_oled"])
def test_a_week_later_the_frame_is_the_same_byte_for_byte(board):
    """Through the device: log, a power cut, other light, a week, and back."""
    with Bench(board=board) as b:
        b.app.stage.master = 0.8
        b.app.stage.dial("Back", hue=200, sat=0.4, level=0.37)
        b.app.remembered["slate"] = [12, 1, 3, 1]
        b.run(1)
        logged = b.frame
        b.tap("back")
        b.hold()
        b.run(0.5)
        assert b.frame == logged
        b.cut_power()
        b.clock.pass_us(WEEK * 1000)
        b.boot()
        b.run(0.2)
        b.app.stage.master = 1
        b.app.stage.go("Moonlight", 0)
        b.run(1)
        assert b.frame != logged
        b.app.open("slate_recall")
        b.run(0.5)
        assert b.lines[1] == "12A, set-up 3 take 1"
        b.press()
        b.run(1.5)
        assert b.frame == logged
        assert "Everything is as it was" in b.lines


def test_recall_of_all_kinds_raw_channels_and_blackout():
    with Bench(show=None) as b:
        for n, kind in enumerate(KINDS):
            b.app.show.rig.add(kind, "Lamp %d" % n)
        b.app.show.save_rig()
        dice = random.Random(5)
        slate = Slate(b.app.show)
        frames = []
        for n in range(5):
            dial(b.app.stage, dice)
            b.app.stage.blackout = n == 3
            b.run(0.3)
            slate_log.log(b.app, slate)
            b.run(0.1)
            frames.append(b.frame)
        for e, frame in zip(takes(Slate(b.app.show)), reversed(frames), strict=True):
            assert slate_log.recall(b.app, slate, e) == []
            b.run(1.3)
            slate_log.settle(b.app.stage)
            b.run(0.1)
            assert b.frame == frame


def test_what_differs_is_said():
    s = stage(kinds=("tint16", "white", "dim", "rgb"))
    slate = Slate(s.show)
    slate.log(entry(), pack_lamps(s))
    rig = s.show.rig
    a, b, c, d = rig.fixtures
    assert differences(rig, slate.lamps(slate.last)) == []
    rig_edit.remove(rig, a)
    rig_edit.move(rig, b, 100)
    rig_edit.trim(rig, c, curve="square")
    rig_edit.rename(rig, d, "Rim")  # a new name is no other light
    rig.add("dim", "New")
    assert differences(rig, slate.lamps(slate.last)) == [
        "Lamp 0 is missing", "Lamp 1: at 7, now 100", "Lamp 2: kind or trim changed", "New was not there"]
    rig_edit.swap(rig, d, "rgbw")
    assert "Rim: kind or trim changed" in differences(rig, slate.lamps(slate.last))


def test_an_effect_that_was_on_is_told():
    with Bench() as b:
        b.app.open("effects")
        b.press()
        b.run(0.2)
        b.app.open("slate", True)
        effect = b.app.stage.effects.saved[0]
        b.app.stage.effects.stop(effect, b.app.now)
        b.run(1.5)
        slate = Slate(b.app.show)
        assert slate_log.recall(b.app, slate, slate.last) == ["An effect was on: start it"]


def test_notes_are_added_later():
    s = stage(kinds=("dim",))
    slate = Slate(s.show)
    for take in (1, 2, 3):
        slate.log(entry(take=take), pack_lamps(s))
    slate.note(2, "hold")
    slate.note(3, "good")
    slate.note(3, "focus")
    assert [e[TEXT] for e in takes(Slate(s.show))] == ["good, focus", "hold", ""]
    assert Slate(s.show).last[TEXT] == "good, focus"


def test_the_most_that_a_meter_can_hold_is_logged():
    """A record has 16 bits for the stop and for frames a second, 32 for the light. By hand, ISO 2720, N^2 = E S t / C:
    500,000 lx that were read at 1/4096 are 2.048e9 lx at full. ISO 6, 1/360 s, C 240: N = 377.12. ISO 409600, 1/655 s,
    C 540: N = 48,700, where 655.35 is the most."""
    s = stage(kinds=("dim16",))
    lamp, readings = s.show.rig.fixtures[0], Readings(s.show)
    low, high = {}, {}
    for name, limits in (("iso", (6, 409600)), ("angle10", (10, 3600)), ("fps100", (100, 65535)), ("c", (240, 540))):
        assert file_rules.FILES["readings.json"][name][1:3] == limits
        low[name], high[name] = limits
    readings.add(lamp, 500_000, 16)
    s.dial(lamp, level=1)
    slate = Slate(s.show)
    for settings, stop100 in ((low, 37712), (high, 65535)):
        readings.settings.update(settings)
        readings.save()
        logged = entry()
        (logged[slates.ISO], logged[slates.ANGLE10], logged[slates.FPS100], logged[slates.LUX10],
         logged[slates.STOP100]) = exposure_now(s.show, s)
        slate.log(logged, pack_lamps(s))
        kept = takes(Slate(s.show))[0]
        assert [kept[slates.ISO], kept[slates.ANGLE10], kept[slates.FPS100]] == [
            settings[name] for name in ("iso", "angle10", "fps100")]
        assert (kept[slates.LUX10], kept[slates.STOP100]) == (2**32 - 1, stop100)


def test_two_thousand_takes_fit_the_budget():
    """12 lamps, a new light at every eighth take: 16 parts of 16 KB are the most, 200 KB are said."""
    s = stage(kinds=KINDS)
    slate = Slate(s.show)
    dice = random.Random(2)
    for n in range(slates.MOST):
        if n % 8 == 0:
            dial(s, dice)
            lamps = pack_lamps(s)
        slate.log(entry(n // 80 + 1, n // 8 % 10 + 1, n % 8 + 1, "good"), lamps)
    sizes = [len(data) for path, data in s.show.disk.files.items() if "/slate/" in path]
    assert len(sizes) <= PARTS and max(sizes) <= slates.PART_BYTES and sum(sizes) <= 215_000
    with pytest.raises(ValueError, match="slate is full: 2000 takes"):
        slate.log(entry(), lamps)
    again = Slate(s.show)
    assert len(again) == 2000
    assert [e[NUMBER] for e in takes(again)] == list(range(2000, 0, -1))


def test_a_light_for_every_take_fills_the_parts_and_says_so():
    s = stage(kinds=KINDS)
    slate = Slate(s.show)
    dice = random.Random(2)
    with pytest.raises(ValueError, match="256 KB. Export it, then clear it"):
        for n in range(slates.MOST):
            dial(s, dice)
            slate.log(entry(take=n % 199 + 1), pack_lamps(s))
    count = len(Slate(s.show))
    assert 500 < count < 2000
    slate.clear()
    assert len(slate) == 0 and takes(Slate(s.show)) == []
    slate.put_back()
    assert len(Slate(s.show)) == count
    slate = Slate(s.show)
    slate.clear()
    slate.log(entry(), pack_lamps(s))
    with pytest.raises(ValueError, match="has takes already"):
        slate.put_back()
    slate.clear()
    assert len(Slate(s.show)) == 0


def test_a_cut_at_any_step_loses_nothing_that_was_logged():
    """The disk of the desktop also leaves half a record where littlefs would leave none."""
    steps = 0
    while True:
        steps += 1
        disk = MemoryDisk()
        s = stage(disk, ("tint16", "rgb"))
        dice = random.Random(3)
        disk.cut_after(steps)
        done = 0
        try:
            slate = Slate(s.show)
            for n in range(6):
                dial(s, dice)
                slate.log(entry(take=n + 1), pack_lamps(s))
                done += 1
            slate.note(6, "good")
        except PowerCut:
            pass
        else:
            break
        disk.power_up()
        again = Slate(s.show)
        assert len(again) in (done, done + 1)
        assert [e[TAKE_NO] for e in takes(again)] == list(range(len(again), 0, -1))
        again.log(entry(take=99), pack_lamps(s))
        assert [e[TAKE_NO] for e in takes(Slate(s.show))][0] == 99
        for e in takes(again):
            again.lamps(e)
    assert steps > 12


def test_a_full_part_is_read_in_few_pieces():
    """To open a file and read of it takes an RP2040 some 4 ms (tests/chip): with a look at the disk for every record,
    opening a slate of 260 takes outlasted the watchdog."""
    s = stage(kinds=("tint16", "rgb"))
    slate, lamps = Slate(s.show), pack_lamps(s)
    for n in range(200):
        slate.log(entry(take=n + 1), lamps)
    disk, reads = s.show.disk, []
    read_part = disk.read_part
    disk.read_part = lambda *where: reads.append(where) or read_part(*where)
    pieces = disk.length("shows/a/slate/00.log") // 480 + 1
    again = Slate(s.show)
    assert again.last == slate.last
    assert len(reads) <= pieces + 1
    reads.clear()
    assert [e[TAKE_NO] for e in takes(again)] == list(range(200, 0, -1))
    assert len(reads) <= 2 * pieces + 2


def test_flipped_bits_cost_their_record_and_are_said():
    s = stage(kinds=("tint16", "rgb"))
    slate = Slate(s.show)
    for n in range(30):
        slate.log(entry(take=n + 1), pack_lamps(s))
    path = "shows/a/slate/00.log"
    whole = s.show.disk.files[path]
    dice = random.Random(8)
    for _ in range(200):
        data = bytearray(whole)
        data[dice.randrange(len(data))] ^= 1 << dice.randrange(8)
        s.show.disk.files[path] = bytes(data)
        again = Slate(s.show)
        found = takes(again)
        assert len(found) >= 29
        assert again.faults == ["Slate: a part of 00.log is damaged and left out"]
        for e in found[:2]:
            try:
                again.lamps(e)
            except ValueError as error:
                assert str(error) == "The light of that take is damaged"  # noqa: PT017


def test_a_full_disk_adds_nothing_and_the_next_take_goes_on():
    s = stage(kinds=("tint16",))
    slate = Slate(s.show)
    slate.log(entry(), pack_lamps(s))
    disk = s.show.disk
    size, disk.size = disk.size, sum(len(data) for data in disk.files.values())
    s.dial("Lamp 0", level=0.1)
    for _ in range(5):
        with pytest.raises(OSError):
            slate.log(entry(take=2), pack_lamps(s))
    disk.size = size
    slate.log(entry(take=2), pack_lamps(s))
    assert [e[TAKE_NO] for e in takes(Slate(s.show))] == [2, 1]


def test_dates_are_those_of_the_calendar():
    """Against the standard library's proleptic Gregorian calendar."""
    first = datetime.date(1999, 12, 31)
    for days in [1, 2, 59, 60, 61, 366, 367, 9497, 36524, *random.Random(1).sample(range(1, 36525), 300)]:
        day = first + datetime.timedelta(days)
        assert day_text(days) == f"{day.day} {day:%b} {day.year}"
    assert day_text(0) == "no date"


def test_the_page_logs_counts_and_notes():
    with Bench() as b:
        b.app.open("slate")
        b.run(0.2)
        b.press()
        b.run(0.2)
        assert "Logged: scene 1, set-up 1, take 1. Set the date" in b.lines
        b.press()
        b.run(0.2)
        assert "Logged: scene 1, set-up 1, take 2" in b.lines
        b.turn(1)
        b.press()
        b.turn(2)
        b.press()
        assert Slate(b.app.show).last[TEXT] == "no good"
        b.turn(3)
        b.press()
        b.turn(2)
        b.press()
        b.turn(-4)
        b.press()
        last = Slate(b.app.show).last
        assert (last[SETUP], last[TAKE_NO]) == (3, 1)


def test_no_clock_the_date_is_the_users():
    with Bench() as b:
        b.app.open("slate")
        b.turn(7)
        b.press()
        b.turn(1)
        b.press()
        b.app.open("slate")
        assert b.app.settings["date"] == 9498
        b.press()
        assert Slate(b.app.show).last[slates.DATE] == 9498
        assert "1 Jan 2026" in " ".join(b.lines)


def test_clearing_asks_and_can_be_undone():
    with Bench() as b:
        b.app.open("slate", True)
        b.turn(8)
        b.press()
        assert len(Slate(b.app.show)) == 1
        b.press()
        assert len(Slate(b.app.show)) == 0
        b.app.undo_last()
        assert len(Slate(b.app.show)) == 1


def test_an_empty_slate():
    with Bench() as b:
        b.app.open("slate_recall")
        b.run(0.3)
        assert "No take is logged yet" in b.lines
        b.press()
        b.app.open("slate")
        b.turn(1)
        b.press()
        b.run(0.2)
        assert "Log a take first" in b.lines


def test_a_take_in_the_most_light_that_can_be_read_is_logged():
    """ISO 2720: N = sqrt(E S t / C): 500,000 lx at ISO 51200 and 1/48 s with C = 340 is T1252. A record holds
    T655.35 at most."""
    with Bench(show="demo") as b:
        readings = Readings(b.app.show)
        readings.settings["iso"] = 51200
        readings.save()
        key = b.app.show.rig.fixtures[0]
        b.app.stage.dial(key, level=1)
        readings.add(key, 500000, 65535, 0, 0, 0, b.app.stage.light(key))
        b.app.open("slate", True)
        b.run(0.2)
        assert Slate(b.app.show).last[slates.STOP100] == 65535
