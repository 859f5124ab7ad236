"""The running order: what each verb does to the light, edits and damage while it runs."""

import pytest

from firmware.show import looks_edit
from firmware.show import running_order as orders
from firmware.show.running_order import DELAY, FADE, FOLLOW, HOLD, RunningOrder
from firmware.stage import running_order_player
from firmware.stage.running_order_player import OrderPlayer
from sim import Bench
from sim.disk import MemoryDisk
from tests.day.conftest import LOOKS


def test_next_fades_to_the_next_look_in_its_own_time(day):
    day.player.next()
    day.run(1020)
    assert day.levels() == LOOKS["A"]
    day.player.next()
    day.run(500)
    assert day.levels()[0] == pytest.approx(0.6, abs=0.02)  # half way from 1 to 0.2
    day.run(540)
    assert day.levels() == LOOKS["B"] and day.player.phase == running_order_player.READY


def test_a_step_has_its_own_fade_and_waits_for_its_delay(day):
    step = day.order.steps[1]
    day.order.set(step, FADE, 4000)
    day.order.set(step, DELAY, 3000)
    day.player.next()
    day.run(1100)
    day.player.next()
    day.run(2900)
    assert day.levels() == LOOKS["A"] and day.player.words().startswith("2 delay 0.")
    day.run(4100)
    assert day.levels() == LOOKS["B"]
    assert RunningOrder(day.show).steps[1] == [0, day.show.looks.number("B"), 3000, 4000, 0, 0]


def test_next_in_a_delay_begins_the_fade(day):
    day.order.set(day.order.steps[0], DELAY, 60000)
    day.player.next()
    day.run(100)
    day.player.next()
    day.run(1100)
    assert day.on() == "A" and day.player.phase == running_order_player.READY


def test_follow_on_comes_after_fade_and_hold(day):
    first, second = day.order.steps[:2]
    day.order.set(first, HOLD, 2000)
    day.order.set(first, FOLLOW, 1)
    day.player.next()
    day.run(2960)
    assert day.on() == "A" and 0 < day.player.left() <= 60
    day.run(80)
    assert day.on() == "B" and day.player.phase == running_order_player.FADES
    day.run(2000)
    assert day.player.phase == running_order_player.READY and day.player.left() == 0


def test_held_fades_hold_the_order_too(day):
    day.order.set(day.order.steps[0], FOLLOW, 1)
    day.player.next()
    day.run(500)
    day.stage.pause(True)
    day.run(5000)
    assert day.on() == "A" and 480 <= day.player.left() <= 520
    day.stage.pause(False)
    day.run(600)
    assert day.on() == "B"


def test_stop_lets_nothing_follow(day):
    day.order.set(day.order.steps[0], FOLLOW, 1)
    day.player.next()
    day.run(500)
    day.player.stop()
    day.run(3000)
    assert day.on() == "A" and day.levels() == LOOKS["A"]
    day.player.next()
    assert day.on() == "B"


def test_the_end_and_the_loop(day):
    for _ in range(4):
        day.player.next()
        day.run(1100)
    day.player.next()
    assert day.on() == "D" and day.player.message == "End of the running order"
    day.order.set_loop(1)
    day.player.next()
    assert day.on() == "A"
    assert RunningOrder(day.show).loop


@pytest.mark.parametrize("fade", [0, 100, 1000])
def test_a_jump_never_flashes(day, fade):
    """Each lamp's level stays between where it was and where it goes, never turns back, and takes a second."""
    for step in day.order.steps:
        day.order.set(step, FADE, fade)
    for at in (0, 3, 1, 2, 0):
        was = day.levels()
        day.player.jump(at)
        day.seen.clear()
        day.run(1100)
        goal = LOOKS["ABCD"[at]]
        assert day.levels() == goal
        for lamp in (0, 1):
            path = [was[lamp]] + [levels[lamp] for levels in day.seen]
            assert path == sorted(path, reverse=goal[lamp] < was[lamp])
            steps = [abs(b - a) for a, b in zip(path, path[1:], strict=False)]
            assert max(steps) <= 0.021 * abs(goal[lamp] - was[lamp]) + 0.002


def test_a_jump_gives_what_the_steps_before_would_have_left(day):
    """A look of one lamp only: by a jump the other lamp is as step by step."""
    day.stage.dial("Key", level=0.9)
    day.stage.store("Key only", [day.show.rig.find("Key")])
    day.order.add(day.show.looks.number("Key only"), at=2)
    day.player.jump(0)
    day.run(1100)
    day.player.jump(2)
    day.run(2100)
    assert day.levels() == (0.9, LOOKS["B"][1])


def test_a_deleted_look_is_said_and_passed(day):
    looks_edit.remove(day.show.looks, "B")
    day.player.next()
    day.run(1100)
    day.player.next()
    assert day.player.message == "Step 2 passed: its look was deleted"
    day.run(1100)
    assert day.on() == "C" and day.levels() == LOOKS["C"]


def test_a_damaged_look_is_said_and_passed(day):
    looks, path = day.show.looks, "shows/a/looks/0.log"
    data = bytearray(day.show.disk.files[path])
    data[4 * looks.places[looks.index("B")] + 30] ^= 1
    day.show.disk.files[path] = bytes(data)
    day.player.next()
    day.player.next()
    assert "Step 2 passed: B is damaged" in day.player.message
    assert day.on() == "C"


def test_an_order_of_deleted_looks_ends(day):
    day.order.set_loop(1)
    for name in LOOKS:
        looks_edit.remove(day.show.looks, name)
    day.player.next()
    day.run(1000)
    assert day.player.phase == running_order_player.READY and "passed" in day.player.message


def test_a_renamed_look_is_still_the_step(day):
    looks_edit.rename(day.show.looks, "A", "Dusk")
    day.player.next()
    assert day.on() == "Dusk"


def test_edits_while_it_runs(day):
    day.player.next()
    day.run(500)
    step = day.player.current
    day.order.move(step, 2)  # B C A D: D is next
    assert day.player.following() == 3
    day.order.move(step, 0)
    at = day.order.remove(day.order.steps[1])  # A C D
    day.player.next()
    assert day.on() == "C"
    taken = day.player.current
    day.order.remove(taken)  # the step that is on: A D
    assert day.order.name(day.order.steps[day.player.following()]) == "D"
    day.order.put_back(taken, at)
    day.player.next()
    assert day.on() == "C"


def test_steps_that_read_the_same_are_told_apart(day):
    day.order.fill([day.show.looks.number("A")])
    day.order.remove(day.order.steps[4])
    assert [day.order.name(s) for s in day.order.steps] == list(LOOKS)


def test_steps_that_follow_at_once_change_three_times_a_second_at_most(day):
    """WCAG 2.3.1: three changes a second are one and a half flashes; three are allowed."""
    day.order.set_loop(1)
    for step in day.order.steps:
        day.order.set(step, FADE, 0)
        day.order.set(step, FOLLOW, 1)
    day.player.next()
    day.run(10000)
    changes = [n for n in range(1, len(day.seen)) if day.seen[n] != day.seen[n - 1]]
    assert len(changes) >= 20  # it does run
    assert max(sum(1 for c in changes if n <= c < n + 50) for n in range(450)) <= 3


def test_captures(day):
    day.order.add(7, at=0, what=orders.CAPTURE)
    day.player.next()
    assert day.player.message == "Step 1 passed: captures cannot be played here" and day.on() == "A"
    played = []
    player = OrderPlayer(day.stage, lambda number: played.append(number) or 5000)
    player.jump(0)
    assert played == [7] and player.left() == 5000


def test_a_full_disk_changes_nothing(day):
    day.show.disk.size = sum(len(data) for data in day.show.disk.files.values())
    with pytest.raises(OSError, match="no room"):
        day.order.fill([day.show.looks.number("A")] * 50)
    assert len(day.order) == len(RunningOrder(day.show)) == 4
    with pytest.raises(ValueError, match="99 steps"):
        day.order.fill([1] * 96)


def test_bad_steps_are_left_out_and_said(day):
    day.order.steps += [[0, 1, 2], [0, 1, -5, 0, 0, 0], "x", [9, 1, 0, 0, 0, 0]]
    day.order.save()
    again = RunningOrder(day.show)
    assert len(again) == 4
    (fault,) = again.faults
    assert "steps[4] = [0, 1, 2]" in fault and "3 more" in fault


def test_no_running_order_yet():
    disk = MemoryDisk()
    with Bench(disk=disk) as b:
        b.run(0.1)
        b.tap("foot")
        b.run(0.3)
        assert "The running order is empty: add looks" in b.lines


def test_the_foot_switch_works_from_every_page_locked_and_in_the_dark():
    with Bench() as b:
        b.app.machines.running_order().order.fill(b.app.show.looks.ids)
        b.app.machines.stop_running_order()
        b.hold("back")
        b.app.screen.sleep()
        b.tap("foot")
        assert b.app.stage.look == "Moonlight"  # the first look is on at power-up
        b.tap("foot")
        assert b.app.stage.look == "Fridge open" and b.app.locked


def test_the_page_says_what_is_on_what_comes_and_how_long():
    with Bench() as b:
        b.app.machines.running_order().order.fill(b.app.show.looks.ids)
        b.app.machines.stop_running_order()
        b.app.open("run")
        b.press()
        b.run(1)
        assert b.lines[0] in ("Run 2 fade 6.8 s", "Run 2 fade 6.9 s")  # drawn ten times a second
        assert b.lines[1:3] == ["on 2  Moonlight", "then 3  Fridge open by push"]
        b.turn(-2)  # back to the first
        b.press()
        b.run(1.2)
        assert b.lines[1:3] == ["on 1  Evening", "then 2  Moonlight by push"]
        b.app.open("light")
        assert b.app.player is not None  # it goes on


def test_stopped_and_left_the_code_goes():
    with Bench() as b:
        b.app.machines.running_order().order.fill(b.app.show.looks.ids)
        b.app.player.stop()
        b.app.open("run")
        b.app.open("light")
        assert b.app.player is None


def test_an_order_that_was_only_looked_at_is_not_kept_in_memory():
    """Beside it there is no room for other pages in a chip's heap; where it stands is found anew."""
    with Bench() as b:
        b.app.machines.running_order().order.fill(list(b.app.show.looks.ids))
        b.app.open("home")
        b.app.open("run")
        assert b.app.player.phase == running_order_player.READY
        b.app.open("home")
        assert b.app.player is None
        b.app.open("run")
        b.press()
        b.run(0.2)
        b.app.open("home")
        assert b.app.player.place() == 1, "it is on now"
