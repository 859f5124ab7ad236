"""A seeded monkey with a thumb: thousands of random gestures on the whole app, without pixels.

`python -m tests.ui.walker COUNT [SEED] [tft|oled]`; tests/ui/test_walker.py runs some of it in the suite.

It finds: any exception; a text or shape drawn outside the panel, a word of the device's own that is cut (tests/cut.py);
a sign that its font lacks; a page that the back key does not lead out of; a line whose slots leave what the stage
holds; code that is held though its module was dropped, and a second copy of a module.
"""

import contextlib
import gc
import importlib.util
import pathlib
import random
import sys
import time

import sim  # noqa: F401
from firmware.ui.fonts import load
from firmware.ui.frame import canvas as fonts
from firmware.ui.frame import glyphs
from sim import demo, vm
from sim.disk import MemoryDisk
from tests import cut, loaded, signs

SIZES = {"tft": (320, 240, 4), "oled": (128, 64, 1)}
OUT = ("firmware.ui.pages.light.light", "firmware.ui.pages.home")  # back goes to and fro between these two
ROOT = pathlib.Path(__file__).parent.parent.parent
_STEPS = 3  # of the app after each gesture
_MOST_BACKS = 15
_LOOKS = 40  # so many that a list of them is long


class Outside(AssertionError):
    """Something would be drawn outside the panel."""


class Late:
    """A clock for the screen by which each step is late: it draws one slice, which keeps the walk quick."""

    def ms(self):
        """Far in the future."""
        return 1 << 40


# Names as people give them, and as only the host can send them: accented, the longest, empty, blank, written from
# right to left, above U+FFFF, with a joined accent. Which letters may come up: ISO/IEC 8859-1 and Unicode's charts.
NAMES = ("Café", "Küche", "sphère", "ÅØÆÐÞßÿ", "W" * 24, "é" * 24, "", " ", "מנורה", "مصباح", "🎬", "🎬" * 24,
         "日本", "e\u0301", "½°", "x" * 24)
STRANGE = set("".join(NAMES)) - signs.of(load.data(1, False))  # of these, the device draws "?"


class NoPixels:
    """Stands in for the frame buffer: what is painted into it goes nowhere."""

    def rect(self, *_args):
        """As FrameBuffer.rect."""

    fill_rect = rect


def measured(canvas):
    """Let a canvas hold every stroke against the panel's edges, and paint no pixels: each text is only measured again,
    in the font that it would be painted with, when it is due."""
    keep = canvas._add
    canvas._fb = NoPixels()
    canvas._draw = lambda _fb, _size, data, s, count, _x, _y, _ink: glyphs.measure(data, s, count)

    def add(kind, x, y, w, h, ink, more=0, look=0, text=""):
        if w > 0 and h > 0 and not (min(x, y) >= 0 and x + w <= canvas.width and y + h <= canvas.height):
            raise Outside(f"{repr(text) if text else 'box'}, {w}x{h} at {x},{y}")
        if text and more & 3 != signs.LENT:
            lacking = set(text[:more >> 2]) - signs.of(canvas._data[more & 3]) - STRANGE
            assert not lacking, f"{text!r}: no sign {lacking} in its font"
        keep(kind, x, y, w, h, ink, more, look, text)
        assert not canvas.crowded, "more strokes than there is room for"

    canvas._add = add


class Walker:
    """One device and its monkey. `done`: the last gestures, newest at the end. known: what as_after_boot gave; device:
    another than a bare board with the demo show; it must be looked at (`watch`) after each start."""

    def __init__(self, panel, seed, known=(), device=None):
        self.known = known
        self.dice = random.Random(seed)
        self.done = []
        self.pages = {}
        self.b = device
        if device is None:
            disk = MemoryDisk()
            demo.write(disk)
            self.b = vm.Bare(disk, vm.Panel(*SIZES[panel]))
            self.watch(self.app)
            cut.watch(self.app, NAMES)  # the soak brings more names than this knows

    @staticmethod
    def watch(app):
        """Hold what an app draws against the panel's edges from now on."""
        app.screen._clock = Late()
        measured(app.canvas)

    @property
    def app(self):
        return self.b.app

    def _step(self, ms):
        self.b.clock.pass_us(ms * 1000)
        self.app.step(self.b.clock.ms())

    def _key(self, name, ms, turn=0):
        self.b.board.keys.set(name, True)
        self._step(20)
        if turn:
            self.b.board.knob.move(turn)
        self._step(ms)
        self.b.board.keys.set(name, False)
        self._step(20)

    def gesture(self, kind, detents=0):
        """Do one gesture and let the screen draw a little."""
        self.done = self.done[-30:] + [(kind, detents, self.module())]
        self.pages[self.module()] = self.pages.get(self.module(), 0) + 1
        if kind == "turn":
            self.b.board.knob.move(detents)
            self._step(self.dice.choice((5, 20, 40, 400)))
        elif kind == "push_turn":
            self._key("push", 40, detents)
        elif kind.startswith("hold "):
            self._key(kind[5:], 700)
        else:
            self._key(kind, 60)
        for _ in range(_STEPS):
            self._step(10)
        if self.module() != self.done[-1][2]:
            self._left()

    def _left(self):
        """A page was left."""
        found = loaded.strays()
        assert not found, f"{found} of modules that are not loaded"

    def random(self):
        """One random gesture: mostly turns and pushes, as a hand does."""
        kind = self.dice.choices(
            ("turn", "push", "push_turn", "hold push", "back", "hold back", "look", "hold look", "black"),
            (40, 32, 8, 7, 6, 1, 1, 1, 2))[0]
        far = self.dice.choice((1, 1, 1, 2, 3, 5, 12, 40))
        self.gesture(kind, self.dice.choice((-1, 1)) * far if "turn" in kind else 0)

    def rename(self):
        """Give a lamp, the show, or a look that is stored anew, a name that the device's own letters cannot write; and
        let the canvas be as after a start, when no letter with an accent has come yet."""
        c = self.app.canvas
        c._plain, c._data[:fonts.BIG] = True, [fonts._load(c.big, size, True) for size in (fonts.SMALL, fonts.BODY)]
        name, fixtures = self.dice.choice(NAMES), self.app.show.rig.fixtures
        if fixtures and name not in [f.name for f in fixtures]:
            self.dice.choice(fixtures).name = name
        self.app.show.name = self.dice.choice(NAMES)
        if name.strip() and len(self.app.show.looks.names()) < _LOOKS:
            self.app.stage.store(name)

    def module(self):
        """The open page's module."""
        return type(self.app.page).__module__

    def settle(self):
        """Let the whole page be drawn and sent."""
        for _ in range(200):
            if self.app.screen.done():
                break
            self._step(4)
        hints = fonts.SMALL
        c, page = self.app.canvas, self.app.page
        for pair in page.hint():
            assert c.measure(pair[0], hints) + c.measure(pair[1], hints) < c.width - 2 * c.pad, (self.module(), pair)

    def go_out(self):
        """Back, and back, must lead to Light or to the list of pages."""
        if self.app.locked:
            self.gesture("hold back")
        for _ in range(_MOST_BACKS):
            if self.module() in OUT and not getattr(self.app.page, "dialling", False):
                return
            self.gesture("back")
        raise AssertionError(f"no way back from {self.module()}")

    def walk(self, count):
        """So many random gestures; every 25th the page is drawn to its end, every 97th the way back is tried, every
        31st something gets another name, every 499th all that Python holds is looked through for code that was
        dropped."""
        for n in range(1, count + 1):
            self.random()
            if n % 25 == 0:
                self.settle()
            if n % 97 == 0:
                self.go_out()
            if n % 31 == 0:
                self.rename()
            if n % 499 == 0:
                found = loaded.outlived(self.known)
                assert not found, f"{found} outlived their modules"
        assert self.b.line.slots == self.app.stage.frame or self.app.feed


class Kept:
    """Finds and loads the firmware's modules, whose code it keeps."""

    def __init__(self):
        self._code = {}

    def find_spec(self, name, _path=None, _target=None):
        """As of importlib.abc.MetaPathFinder."""
        if not name.startswith("firmware."):
            return None
        if name not in self._code:
            path = ROOT / name.replace(".", "/")
            file = path / "__init__.py" if path.is_dir() else path.with_suffix(".py")
            if not file.exists():
                return None
            self._code[name] = compile(file.read_bytes(), str(file), "exec"), path.is_dir()
        return importlib.util.spec_from_loader(name, self, is_package=self._code[name][1])

    def create_module(self, _spec):
        """As of importlib.abc.Loader."""

    def exec_module(self, module):
        """As of importlib.abc.Loader."""
        exec(self._code[module.__name__][0], vars(module))


@contextlib.contextmanager
def quick():
    """Pages come and go with their code: keep it. The app collects at each page: leave out what was before."""
    kept = Kept()
    sys.meta_path.insert(0, kept)
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()
        sys.meta_path.remove(kept)


def walk(panel, seed, count):
    """Walk; on trouble say what was done. -> the Walker."""
    with loaded.as_after_boot() as known:
        walker = Walker(panel, seed, known)
        try:
            with quick():
                walker.walk(count)
        except Exception:
            print(f"{panel}, seed {seed}: the last gestures were", *walker.done, sep="\n  ")
            raise
    return walker


def main(count, seed="1", panel=""):
    """Walk on one panel or both, and say where the monkey has been."""
    for name in [panel] if panel else SIZES:
        began = time.monotonic()
        walker = walk(name, int(seed), int(count))
        print(f"{name}: {count} gestures in {time.monotonic() - began:.0f} s, nothing found; gestures on each page:")
        print("  " + ", ".join(f"{module[12:]} {n}" for module, n in sorted(walker.pages.items())))


if __name__ == "__main__":
    main(*sys.argv[1:])
