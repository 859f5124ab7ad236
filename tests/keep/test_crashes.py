"""What fails after the board is there is logged, and restarts the chip with its line going on; three times in a row,
and only the light is started. A step without memory costs the open page. A panel that fails costs the picture."""

import types

import pytest

from firmware import main
from firmware.show.fault_log import FaultLog
from firmware.ui import light_only
from firmware.ui.frame.canvas import BODY, Canvas
from sim import Bench, panels
from sim.disk import MemoryDisk
from sim.hands import Board, Clock
from sim.line import Line


@pytest.fixture
def board(monkeypatch):
    """A board without an app, and a collector that the desktop's tests can do without."""
    monkeypatch.setattr(main, "gc", types.SimpleNamespace(threshold=lambda _bytes: None, collect=lambda: None))
    monkeypatch.setattr("sys.print_exception", lambda error, file: file.write(repr(error)), raising=False)
    clock = Clock()
    driver, screen = panels.make("st7789", width=320, height=240)
    board = Board("bare", "none", (Line(clock),), driver, MemoryDisk(), clock)
    board.screen = screen
    real = main.once
    monkeypatch.setattr(main, "once", lambda module, *rest: board if module == "firmware.start"
                        else real(module, *rest))
    return board


def start_fails(monkeypatch, error):
    """The app cannot be made."""
    def fail(_board):
        raise error
    monkeypatch.setattr("firmware.app.App", fail)


def test_what_fails_in_the_start_is_logged_and_restarts(board, monkeypatch):
    start_fails(monkeypatch, ValueError("no rig"))
    main.run()
    assert board.power.restart_asked
    assert FaultLog(board.disk).entries()[0][1] == "Crashed: ValueError('no rig')"


def test_of_equal_crashes_in_a_row_the_first_is_logged(board, monkeypatch):
    start_fails(monkeypatch, ValueError("no rig"))
    for board.power.crashes in (0, 1, 2):
        main.run()
    assert len(FaultLog(board.disk).entries()) == 1
    start_fails(monkeypatch, ValueError("another"))
    main.run()
    assert len(FaultLog(board.disk).entries()) == 2


def test_after_three_restarts_only_the_light_is_started(board, monkeypatch, capsys):
    start_fails(monkeypatch, ValueError("no rig"))
    board.lines[0].send(b"\x07" * 512)
    main.run()
    board.power.restart_asked, board.power.crashes = False, 3
    main.run()
    said = capsys.readouterr().out
    assert "halfstop backup" in said
    assert "ValueError('no rig')" in said, "the first cause"
    assert not board.power.restart_asked
    assert board.power.crashes == 0, "what starts it next is to try again"
    board.clock.pass_us(100_000)
    assert board.lines[0].frame == b"\x07" * 512
    assert sum(board.screen.rgb()) > 0, "a message is on the panel"


def test_what_is_dialled_just_before_the_host_stops_the_app_is_kept():
    """Nothing is written while somebody turns, but it is known that something is to be."""
    with Bench(show="demo") as b:
        b.run(6)
        b.turn(-7)
        b.run(0.05)
        lamp = b.app.page.lamps[0].name
        level = b.app.stage.value(b.app.show.rig.find(lamp), "level")
        b.app.state.flush(b.clock.ms())
        b.boot()
        assert b.app.stage.value(b.app.show.rig.find(lamp), "level") == level


@pytest.mark.parametrize("driver", ["st7789", "sh1106"])
def test_the_message_fits_the_panel(driver):
    made, _screen = panels.make(driver)
    canvas = Canvas(made)
    assert all(canvas.measure(words, BODY) + 2 * canvas.pad <= made.width for words in light_only.WORDS)
    assert len(light_only.WORDS) * canvas.row <= made.height


def test_a_keyboard_interrupt_is_the_hosts_and_no_crash(board, monkeypatch):
    start_fails(monkeypatch, KeyboardInterrupt())
    board.power.crashes = 2
    with pytest.raises(KeyboardInterrupt):
        main.run()
    assert board.power.crashes == 0
    assert FaultLog(board.disk).entries() == []


def test_a_step_without_memory_costs_the_open_page_and_no_more():
    with Bench(show="demo") as b:
        b.app.open("rig")
        b.run(0.5)
        frame = b.frame
        assert b.app.give_way()
        b.run(0.5)
        assert b.app.page_name == "home"
        assert any("No memory" in line for line in b.lines)
        assert b.frame == frame
        b.app.open("rig")
        assert not b.app.give_way(), "twice in ten seconds: it does not help"


def test_main_goes_on_where_the_page_gave_way(board):
    steps = []

    def step(_now):
        steps.append(1)
        board.clock.pass_us(4000)
        if len(steps) in (3, 5):
            raise MemoryError

    answers = [True, False]
    app = types.SimpleNamespace(step=step, give_way=lambda: answers.pop(0))
    with pytest.raises(MemoryError):
        main._go_on(app, board)
    assert len(steps) == 5


class Fails:
    """A panel's bus that can fail."""

    def __init__(self, panel):
        self.dead = False
        for name in ("begin", "show", "brightness"):
            setattr(panel, name, self.guarded(getattr(panel, name)))

    def guarded(self, verb):
        def call(*args):
            if self.dead:
                raise OSError(5)
            return verb(*args)
        return call


@pytest.mark.parametrize("name", ["pico_tft", "pico_oled"])
def test_a_panel_that_fails_costs_the_picture_and_no_light(name):
    with Bench(board=name, show="demo") as b:
        b.run(1)
        bus = Fails(b.board.panel)
        bus.dead = True
        before = b.frame
        b.turn(+3)
        b.run(0.2)
        assert b.frame != before, "the knob works"
        b.run(3)
        assert b.app.screen.blind
        assert b.board.buzzer.tones, "the sounder tells"
        lamp = set()
        for _ in range(40):
            b.run(0.05)
            lamp.add(b.board.led.on)
        assert lamp == {False, True}, "the board's lamp blinks"
        b.tap("black")
        b.run(0.1)
        assert b.app.stage.blackout
        b.tap("black")
        b.turn(-3)
        b.run(6)
        assert b.frame == before
        told = [entry for entry in b.app.log.entries() if "panel" in entry[1]]
        assert len(told) == 1


@pytest.mark.parametrize("name", ["pico_tft", "pico_oled"])
def test_the_picture_comes_back_whole(name):
    """The same as on a panel that never failed."""
    pictures = []
    for fails in (False, True):
        with Bench(board=name, show="demo") as b:
            b.run(1)
            bus = Fails(b.board.panel)
            bus.dead = fails
            b.turn(+3)
            b.run(3)
            assert b.app.screen.blind == fails
            bus.dead = False
            b.run(6)
            assert not b.app.screen.blind
            assert not b.board.led.on
            pictures.append(b.panel.rgb())
    assert pictures[0] == pictures[1]


def test_a_device_without_a_panel_starts_with_its_light(monkeypatch):
    with Bench(board="pico_oled", show="demo") as b:
        b.app.stage.go("Evening", 0)
        b.run(6)
        on = b.frame
        b.cut_power()
        made = panels.make

        def deaf(*args, **options):
            driver, screen = made(*args, **options)
            Fails(driver).dead = True
            return driver, screen

        monkeypatch.setattr(panels, "make", deaf)
        b.boot()
        b.run(1)
        assert b.frame == on
        assert b.app.screen.blind
