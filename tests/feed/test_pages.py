"""The pages of the feed and of the captures, by gestures, on both panels."""

import random

import pytest

from firmware import parts
from firmware.parts import once
from firmware.show import captures, rig_edit
from firmware.stage import feed_tables
from firmware.ui.pages.feed import feed_control
from sim import Bench
from tests.feed.test_bench import Desk

BOARDS = ("pico2_tft", "pico_oled")


@pytest.fixture(params=BOARDS)
def any_board(request):
    """(bench, desk) on the Feed page; a board with one port listens on it."""
    with Bench(board=request.param) as b:
        desk = Desk(b)
        desk.run(0.2)
        b.app.open("feed")
        if b.app.input is None:
            choose(b, desk, "The port")
            push(b, desk)
        yield b, desk


@pytest.fixture
def tft():
    with Bench() as b:
        desk = Desk(b)
        b.app.open("feed")
        desk.run(0.3)
        yield b, desk


def push(b, desk, key="push", seconds=0.1):
    """A key, while the desk goes on."""
    b.key_down(key)
    desk.run(seconds)
    b.key_up(key)
    desk.run(0.2)


def turn(b, desk, detents):
    for _ in range(abs(detents)):
        b.board.knob.move(1 if detents > 0 else -1)
        desk.run(0.2)


def choose(b, desk, item):
    """Turn to a row by what it stands for."""
    page = b.app.page
    found = [k for k, it in enumerate(page.items) if it == item or getattr(it, "name", None) == item]
    turn(b, desk, found[0] - page.at)
    desk.run(0.3)


def shown(b, words):
    """The words are on the screen once it is drawn: a page is drawn in slices."""
    for _ in range(150):
        if any(words in line for line in b.lines):
            return
        b.step()
    raise AssertionError((words, b.lines))


def test_rate_and_slots_are_seen(any_board):
    b, desk = any_board
    desk.slots = bytes([100] * 512)
    desk.run(3)
    choose(b, desk, "Signal")
    assert b.app.feed.hz10 == pytest.approx(440, abs=5)
    shown(b, "44.")
    push(b, desk)
    shown(b, "Slots 512")
    desk.slots = None
    desk.run(1.6)
    assert b.app.feed.losses == 1


def test_who_holds_what_is_plain(tft):
    b, desk = tft
    b.app.stage.dial("Key", level=1)
    b.app.stage.dial("Fill", level=0)
    b.app.stage.dial("Window", level=0.5)
    desk.slots = bytearray([100] * 512)
    desk.run(3)
    choose(b, desk, "Fill")
    for lamp, who in (("Key", "pocket"), ("Fill", "feed"), ("Window", "both")):
        shown(b, "%s %s" % (lamp, who))


def test_another_row_is_chosen_while_a_value_on_the_line_is_drawn(tft):
    """Light draws in slices: the knob may have gone on to the master, which is no lamp, before the next."""
    b, desk = tft
    desk.slots = bytes([100] * 512)
    desk.run(3)
    b.app.open("light")
    desk.run(0.3)
    page = b.app.page
    assert page.live and len(page.lamps) == 1
    drawn = page._value_words()
    next(drawn)
    page.push_turn(len(page.items))
    assert page.lamps == []
    assert list(drawn) == [None]
    assert page._line.own([], "level") == ""


def test_a_lamp_that_is_taken_over_keeps_its_light_under_the_master(tft):
    """What the line has is what the master leaves of the light: the lamp's own is that by the master's share, and full
    at the most. A lamp that the master does not move has what the line has."""
    b, desk = tft
    practical, key = [b.app.show.rig.find(name) for name in ("Practical", "Key")]  # of one slot, and of 8 bits
    free = b.app.show.rig.find("Back")
    rig_edit.trim(b.app.show.rig, free, free=1)
    desk.slots = bytes([100] * 512)
    desk.run(3)
    b.app.stage.master = 0.5
    desk.run(0.1)
    before = b.frame
    once("firmware.ui.pages.light.light_feed", "take", b.app, [practical.uid, key.uid, free.uid])
    desk.run(4)
    for lamp in (practical, key, free):
        assert b.frame[lamp.address - 1] == pytest.approx(before[lamp.address - 1], abs=1), lamp.name
        assert b.app.feed.rule(lamp) == feed_tables.POCKET
    assert b.app.stage.value(practical, "level") == pytest.approx(2 * 100 / 255, abs=0.01)
    desk.slots = bytes([200] * 512)
    b.app.feed.set_rule(b.app.now, practical, feed_tables.FEED)
    desk.run(4)
    once("firmware.ui.pages.light.light_feed", "take", b.app, [practical.uid])
    assert b.app.stage.value(practical, "level") == 1


def test_a_lamps_rule_is_dialled_and_kept(tft):
    b, desk = tft
    desk.slots = bytes([200] * 512)
    desk.run(3)
    choose(b, desk, "Fill")
    push(b, desk)
    turn(b, desk, 2)
    shown(b, "Fill pocket")
    push(b, desk)
    desk.run(0.3)
    shown(b, "Fill pocket only")
    push(b, desk)
    turn(b, desk, 1)
    push(b, desk, "back")
    fill = b.app.show.rig.find("Fill")
    assert b.app.feed.rule(fill) == 2
    b.cut_power()
    b.boot()
    desk.run(1)
    assert b.app.feed.rule(b.app.show.rig.find("Fill")) == 2


def test_one_gesture_grabs_a_look(tft):
    """Hold: the feed's frame is a look of light, its other slots raw; gone to, the same slots go out."""
    b, desk = tft
    desk.slots = bytes((5 * n) & 255 for n in range(512))
    desk.run(3)
    push(b, desk, seconds=0.8)
    shown(b, "Grabbed: look Feed 5")
    desk.slots = None
    lights, _ms = b.app.show.looks.recall("Feed 5")
    key = b.app.show.rig.find("Key")
    assert lights[key.uid][:1] != [0] and len(lights) == len(b.app.show.rig) + 1
    b.app.feed.take_over(b.app.now, False)
    b.app.stage.go("Feed 5", 0)
    desk.run(3)
    frame = bytes((5 * n) & 255 for n in range(512))
    used = b.app.show.rig.used()
    assert [v for v, u in zip(b.frame, used, strict=True) if not u] == [
        v for v, u in zip(frame, used, strict=True) if not u]
    f = b.app.show.rig.find("Practical")  # a plain dimmer
    assert b.frame[f.address - 1] == frame[f.address - 1]


def test_grabbing_nothing_is_refused(tft):
    b, desk = tft
    push(b, desk, seconds=0.8)
    shown(b, "No feed has come in yet")
    assert len(b.app.show.looks) == 4


def test_when_lost_to_a_look(tft):
    b, desk = tft
    desk.slots = bytes([100] * 512)
    desk.run(3)
    choose(b, desk, "When lost")
    push(b, desk)
    choose(b, desk, "Evening")
    push(b, desk)
    choose(b, desk, "Fade there in")
    push(b, desk)
    turn(b, desk, -4)
    push(b, desk)
    push(b, desk, "back")
    assert b.app.page.title == "Feed" and b.app.feed.settings["lost_ms"] == 3000
    desk.slots = None
    desk.run(1.6)
    shown(b, "Feed lost: to Evening in 3 s")
    desk.run(3.5)
    assert b.frame == bytes(b.app.stage.frame) and b.app.stage.look == "Evening"
    shown(b, "When lost Evening in 3 s")


def test_record_play_and_delete(any_board):
    b, desk = any_board
    desk.slots = bytes([7] * 512)
    desk.run(1.5)
    choose(b, desk, "Captures")
    push(b, desk)
    push(b, desk)
    assert b.app.page.title == "Record"
    desk.run(2)
    shown(b, "room for" if b.app.canvas.big else "left")
    push(b, desk)
    assert b.app.feed.word() == "recording"
    for n in range(60):
        desk.slots = bytes([3 * n] * 512)
        desk.run(0.05)
    shown(b, "0:03")
    shown(b, "room for" if b.app.canvas.big else "left")
    push(b, desk)
    assert captures.numbers(b.board.disk) == [1]
    shown(b, "Capture 1 0:03")
    choose(b, desk, 1)
    push(b, desk)
    assert b.app.page.title == "Capture 1" and b.app.feed.player
    desk.run(1)
    shown(b, "of 0:03")
    push(b, desk)
    assert b.app.feed.player.paused
    shown(b, "paused")
    push(b, desk, seconds=0.8)
    assert b.app.feed.player is None and b.app.page.title == "Captures"
    choose(b, desk, 1)
    push(b, desk, seconds=0.8)
    choose(b, desk, "Delete")
    push(b, desk)
    assert captures.numbers(b.board.disk) == [] and b.app.undo
    b.app.undo_last()
    assert captures.numbers(b.board.disk) == [1]


def test_trims_and_fades_are_dialled(tft):
    b, desk = tft
    desk.slots = bytes([7] * 512)
    desk.run(1)
    feed_control.record(b.app)
    desk.run(4)
    feed_control.stop_recording(b.app)
    b.app.open("capture_settings", 1)
    for item, detents, key, value in (("Begin at", 10, "start", 1000), ("End at", -5, "end", None),
                                      ("Fade in", 2, "fade_in", 1000), ("Fade out", 1, "fade_out", 500)):
        choose(b, desk, item)
        push(b, desk)
        turn(b, desk, detents)
        push(b, desk)
        about = captures.about(b.board.disk, 1)[0]
        assert about[key] == value if value is not None else 3300 <= about[key] <= 3700
    choose(b, desk, "Loop")
    push(b, desk)
    assert captures.about(b.board.disk, 1)[0]["loop"] == 1
    choose(b, desk, "Add to Run")
    push(b, desk)
    assert b.app.machines.running_order().order.steps[-1][:2] == [1, 1]


def test_a_capture_is_named_by_knob_and_that_is_undone(tft):
    b, desk = tft
    desk.slots = bytes([7] * 512)
    desk.run(1)
    feed_control.record(b.app)
    desk.run(2)
    feed_control.stop_recording(b.app)
    b.app.open("capture_settings", 1)
    choose(b, desk, "Name")
    push(b, desk)
    page = b.app.page
    turn(b, desk, [page.choice(k) for k in range(page.count())].index("R") - page.at)
    push(b, desk, seconds=0.8)
    assert captures.about(b.board.disk, 1)[0]["name"] == "Capture 1R"
    b.app.undo_last()
    assert captures.about(b.board.disk, 1)[0]["name"] == "Capture 1"


def test_a_capture_is_a_step_of_the_running_order(tft):
    """It plays in its turn; the look after it ends it."""
    b, desk = tft
    desk.slots = bytes([40] * 512)
    desk.run(2.5)
    feed_control.record(b.app)
    desk.run(3)
    feed_control.stop_recording(b.app)
    desk.slots = None
    desk.run(6)
    b.app.open("run")
    order = b.app.machines.running_order().order
    order.add(1, what=1)
    order.add(b.app.show.looks.number("Moonlight"))
    b.app.machines.running_order().jump(0)
    desk.run(1)
    assert b.app.feed.player and b.app.feed.player.number == 1
    b.app.machines.running_order().next()
    desk.run(0.1)
    assert b.app.feed.player is None
    order.add(99, what=1)
    b.app.machines.running_order().jump(2)
    desk.run(0.3)
    shown(b, "Capture 99 is gone")


def test_a_full_flash_in_mid_capture_is_said(tft):
    b, desk = tft
    b.disk.size = 140_000
    desk.slots = bytes(512)
    desk.run(1)
    b.app.open("capture_record")
    push(b, desk)
    dice = random.Random(1)
    for _ in range(400):
        desk.slots = dice.randbytes(512)
        desk.run(0.024)
        if b.app.feed.recorder is None:
            break
    desk.run(0.3)
    shown(b, "Flash is full: 0:0")
    b.app.open("captures")
    desk.run(0.3)
    assert captures.numbers(b.board.disk) == [1]
    feed_control.play(b.app, 1)
    desk.run(1)
    assert b.app.feed.player


def test_recording_outlives_a_pulled_plug(tft):
    b, desk = tft
    desk.slots = bytes([1] * 512)
    desk.run(1)
    feed_control.record(b.app)
    desk.run(25)
    b.cut_power()
    b.boot()
    desk.run(1)
    b.app.open("capture_settings", 1)
    desk.run(0.3)
    assert 19_000 <= b.app.page.about["ms"] <= 25_000, "all but the last block of ten seconds"


def test_fades_in_and_out_of_a_capture(tft):
    b, desk = tft
    desk.slots = bytes([200] * 512)
    desk.run(2.5)
    feed_control.record(b.app)
    desk.run(4)
    feed_control.stop_recording(b.app)
    desk.slots = None
    b.app.feed.take_over(b.app.now, False)
    desk.run(3)
    disk = b.board.disk
    captures.save(disk, 1, dict(captures.about(disk, 1)[0], fade_in=1000, fade_out=1000))
    feed_control.play(b.app, 1)
    seen = []
    for _ in range(280):
        desk.run(0.02)
        seen.append(b.frame[300])
    assert max(seen) == 200 and seen[-1] == 0
    steps = [abs(a - c) for a, c in zip(seen, seen[1:], strict=False)]
    assert max(steps) <= 200 * 0.05 + 2, "a second each way, seen every 20 ms over packets of 23 ms"
    up = next(k for k, v in enumerate(seen) if v == 200)
    assert 40 <= up <= 60


def test_leaving_in_a_fade_of_the_feed_ends_in_the_stages_light(tft):
    """Nothing comes in; its rule is pushed, the light goes black, and the page is left while that fades."""
    b, desk = tft
    desk.run(7)  # all is at rest
    assert any(b.frame)
    b.app.feed.take_over(b.app.now, True)
    b.tap("black")
    b.app.open("home")
    desk.run(2)
    lamps = [(f.address - 1 + c[1]) for f in b.app.show.rig.fixtures for c in f.personality.channels if c[0] == "level"]
    assert bytes(b.app.stage.frame) == b.frame
    assert not any(b.frame[slot] for slot in lamps)
    b.app.open("light")  # the feed's code goes with the next page that is left
    assert b.app.feed is None


def test_no_memory_to_play_is_said_and_leaves_all_as_it_was(tft, monkeypatch):
    b, desk = tft
    desk.slots = bytes([7] * 512)
    desk.run(1.5)
    feed_control.prepare_recording(b.app)
    feed_control.record(b.app)
    for n in range(60):
        desk.slots = bytes([3 * n] * 512)
        desk.run(0.05)
    feed_control.stop_recording(b.app)
    before, make = list(parts._open), parts.Part.make

    def full(self, verb, *args):
        if verb == "Limiter":
            self.close()
            raise MemoryError
        return make(self, verb, *args)

    monkeypatch.setattr(parts.Part, "make", full)
    with pytest.raises(ValueError, match="No memory left to play"):
        feed_control.play(b.app, 1)
    assert b.app.feed.player is None and b.app.feed.is_live() and parts._open == before
    desk.slots = bytes([255] * 512)
    desk.run(0.2)
    assert b.frame == desk.slots
