"""An age of uptime: whatever compares times goes on where a count of milliseconds wraps or an int grows too long.

Where that is: an int is an object on the heap from 2**30 on and at -2**30 - 1 (MicroPython, a 31-bit small int);
ticks_ms wraps at 2**30 and ticks_diff is right for less than 2**29 (MicroPython's documentation of time); an array of
'i' ends at 2**31. The judge is a device that has just been started and does the same.
"""

import gc
import types
from array import array

import pytest

from firmware import app_time
from firmware.show import effect_settings, feed_settings, running_order
from hal import board_parts
from sim import demo, hands, vm
from sim.disk import MemoryDisk

TICKS = 1 << 30
DAY = 86_400_000
FAR = 1 << 29  # where the app moves time back
STEP = 20


class Ticking(hands.Clock):
    """The boards' own Clock, over ticks that wrap."""

    def __init__(self, monkeypatch):
        super().__init__()
        time = types.SimpleNamespace(ticks_ms=lambda: self.us() // 1000 % TICKS,
                                     ticks_diff=lambda a, b: (a - b + TICKS // 2) % TICKS - TICKS // 2)
        monkeypatch.setattr(board_parts, "time", time)
        board = board_parts.Clock()
        self.ms, self.back = board.ms, board.back


class Cable:
    """A port that receives: hands up `slots` once for each time that they are set."""

    has_input, drive, every = True, False, False
    rdm = ""
    counts = {}

    def __init__(self):
        self.slots = None

    def received(self):
        slots, self.slots = self.slots, None
        return slots


class Panel(vm.Panel):
    """A panel that tells how bright it is."""

    level = None

    def brightness(self, percent):
        self.level = percent


class Device(vm.Bare):
    """The demo show with a feed's input, effects and a running order. began: ms that the clock shows at the start."""

    step_ms = STEP

    def __init__(self, clock=None, began=0):
        disk = MemoryDisk()
        demo.write(disk)
        self.clock, self.line, self.cable = clock or hands.Clock(), vm.Line(), Cable()
        self.clock.pass_us(began * 1000)
        self.panel = Panel(128, 64, 1)
        self.board = hands.Board("bare", "none", (self.line, self.cable), self.panel, disk, self.clock)
        self.prepare(disk)
        self.app = vm_app(self.board)
        self.trace = []

    def prepare(self, disk):
        """What the script plays, on the disk."""
        disk.write("kit.json", bytes(hal_settings()))
        show = types.SimpleNamespace(disk=disk, folder="shows/demo")
        effect_settings.save(show, [effect_settings.new("Pulse", [1, 2]), effect_settings.new("Candle", [6])])
        feed_settings.save(show, {"on": 1, "lost": 0, "lost_ms": 5000, "back_ms": 400, "rules": {1: 1}})
        order = running_order.RunningOrder(types.SimpleNamespace(disk=disk, folder="shows/demo", looks=None))
        order.fill([1, 2])
        order.set(order.steps[0], running_order.FADE, 700)
        order.set(order.steps[0], running_order.HOLD, 600)
        order.set(order.steps[0], running_order.FOLLOW, 1)

    def step(self):
        self.clock.pass_us(STEP * 1000)
        app = self.app
        app.step(self.clock.ms())
        fades, logged = app.stage.left(), len(app.log.entries()) if len(self.trace) % 50 == 0 else 0
        self.trace.append((bytes(self.line.slots), app.screen.message, self.panel.level, app.page_name, app.locked,
                           fades, app.feed.state if app.feed else 0, app.feed.hz10 if app.feed else 0, logged,
                           app.player.phase if app.player else 0, len(app.undo), app.stage.blackout))

    def settle(self):
        """Wake it, and forget what was before."""
        self.tap("look")
        self.tap("back")
        self.app.open("light")
        self.app.stage.go("Evening", 0)
        self.run(15)
        self.trace.clear()

    def play(self):
        """Some seconds in which all that keeps a time has one."""
        app = self.app
        app.stage.go("Moonlight", seconds=6)
        effects = app.machines.effects()
        effects.start(effects.saved[0], app.now)
        app.log.add(app.now, "one fault")
        for second in range(14):
            for tenth in range(10):
                if 2 <= second < 4 or second == 8:
                    self.cable.slots = bytes([second * 20 + tenth] * 512)
                self.run(0.1)
            if second == 1:
                effects.start(effects.saved[1], app.now)
            if second == 4:
                self.turn(3)  # undo: a run of dialling
                app.log.add(app.now, "one fault")  # within a minute: not again
            if second == 5:
                self.hold("back")  # lock,
            if second == 6:
                self.tap("black")
                self.hold("back")  # unlock
                self.tap("black")
            if second == 7:
                app.machines.running_order().jump(0)
            if second == 10:
                self.turn(2)
                app.stage.pause(second % 2)
        return self.trace


def vm_app(board):
    """The app on a board."""
    from firmware.app import App

    return App(board)


def hal_settings():
    """kit.json of a device that dims and goes dark soon."""
    from firmware.show import device_settings, file_format

    return file_format.seal({**device_settings.defaults(), "dim_s": 3, "off_s": 5}, 1)


def differences(young, old):
    """The first step in which two traces differ, in words; "" where none does."""
    for n, (a, b) in enumerate(zip(young, old, strict=True)):
        if a != b:
            words = [f"{x!r} is {y!r}" for x, y in zip(a, b, strict=True) if x != y]
            return f"at {n * STEP} ms: " + "; ".join(words)[:300]
    return ""


@pytest.fixture(scope="module")
def young():
    """The trace of a device that has just been started."""
    device = Device()
    device.settle()
    return device.play()


def test_the_script_has_something_to_compare(young):
    columns = list(zip(*young, strict=True))
    assert len(set(columns[0])) > 300  # frames
    for column, values in ((1, {"Locked. Black works", "Unlocked"}), (2, {60, 15, 0}), (4, {True, False}),
                           (6, {0, 1, 2}), (9, {2, 3}), (11, {True, False})):
        assert values <= set(columns[column]), column


@pytest.mark.parametrize("ahead", range(300, 15000, 1470))
def test_time_is_moved_back_at_any_moment(young, ahead):
    """At ten moments of the script, whatever is under way."""
    device = Device(began=FAR - 15_000 - 320 - ahead)  # settle() takes 15,320 ms
    device.settle()
    assert device.clock.ms() == FAR - ahead
    old = device.play()
    assert device.clock.ms() < app_time.LONGEST + 20_000
    assert differences(young, old) == ""
    seconds = device.app.log.seconds(device.app.now)
    assert seconds == device.clock.us() // 1_000_000


@pytest.mark.parametrize("ahead", [400, 6300])
@pytest.mark.parametrize("power", [28, 29, 30, 31, 32])
def test_uptime_of_as_many_milliseconds(young, monkeypatch, power, ahead):
    """The boards' clock over ticks that wrap; left alone for two days at a time, then the script across 2**power."""
    device = Device(Ticking(monkeypatch))
    end = (1 << power) - 15_320 - ahead
    while device.clock.us() // 1000 < end:
        device.clock.pass_us(min(2 * DAY - STEP, end - device.clock.us() // 1000) * 1000 - 3 * STEP * 1000)
        for _ in range(3):
            device.step()
            assert device.app.now < TICKS
    device.settle()
    assert device.clock.us() // 1000 == (1 << power) - ahead
    old = device.play()
    assert device.clock.us() // 1000 > 1 << power
    assert differences(young, old) == ""


def walk(thing, seen, path=""):
    """(path, value) of every whole number that an object of the firmware holds, however deep."""
    if id(thing) in seen or isinstance(thing, type | types.ModuleType | types.FunctionType | str | bytes):
        return
    seen.add(id(thing))
    if isinstance(thing, int):
        seen.discard(id(thing))
        yield path, thing
    elif isinstance(thing, array | list | tuple | set):
        for n, item in enumerate(thing):
            yield from walk(item, seen, f"{path}[{n}]")
    elif isinstance(thing, dict):
        for key, item in thing.items():
            yield from walk(item, seen, f"{path}[{key!r}]")
    elif isinstance(thing, types.GeneratorType):
        if thing.gi_frame:
            yield from walk(thing.gi_frame.f_locals, seen, path + "()")
    elif isinstance(thing, types.MethodType):
        yield from walk(thing.__self__, seen, path)
    elif type(thing).__module__.startswith("firmware"):
        for name, item in vars(thing).items():
            yield from walk(item, seen, f"{path}.{name}")


@pytest.mark.parametrize("page", ["light", "looks", "selftest", "record"])
def test_no_time_is_forgotten(page):
    """All that the app holds is looked through for a number that can only be a time of before."""
    began = FAR - 40_000
    device = Device(began=began)
    app = device.app
    device.settle()
    device.play()
    device.run((FAR - 3000 - device.clock.ms()) / 1000)
    app.machines.running_order().next()
    device.board.power.battery, device.board.power.on_usb = 3900, False
    app.loop._battery = 0
    app.open({"record": "captures"}.get(page, page))
    if page == "record":
        from firmware.stage.capture_recorder import CaptureRecorder

        app.machines.take_feed().record(CaptureRecorder(app.board.disk, app.now))
    app.stage.go("Evening", seconds=100)
    app.stage.move_raw([[300, 7]], 60000)
    device.turn(1)
    for _ in range(10):
        device.cable.slots = bytes([len(device.trace) % 256] * 512)
        device.run(0.1)
    gc.collect()
    before = {path for path, value in walk(app, set()) if began <= value < FAR + 100_000}
    assert len(before) > 15 and app.now < FAR  # they are found at all
    device.run((FAR - app.now + 2 * STEP) / 1000)
    assert app.now < app_time.LONGEST + 1000
    left = {path: value for path, value in walk(app, set()) if began <= value < FAR + 100_000}
    assert left == {}


def test_what_is_long_past_stays_so():
    """However often time is moved back, no time leaves what an int and an array can hold."""
    device = Device()
    effects = device.app.machines.effects()
    for effect in effects.saved:
        effects.start(effect, 0)
    device.app.machines.take_feed()
    for _ in range(20):
        device.clock.pass_us((FAR - device.clock.ms()) * 1000)
        device.step()
        numbers = [value for _path, value in walk(device.app, set())]
        assert min(numbers) >= -TICKS
        assert device.app.now < app_time.LONGEST + 1000
