"""Pieces for the 32-bit VM, divided by lines "# ---"; the heap is read after each. Run by tests/bench/size.py, with
FOLDER PANEL NAME...: the show's folder, and the modules of the board that stay.

The most that a device holds at once: a full show, its running order in a fade, an effect on all lamps, a feed that is
merged and recorded; and then one page after the other.
"""

import gc
import sys

sys.path.insert(0, ".")
gc.threshold(4096)  # as in firmware/main.py


class Nothing:
    """In place of the chip's modules, so that drivers can be loaded; none of their code is run."""

    def __getattr__(self, name):
        return self

    def __call__(self, *args, **options):
        return args[0] if args and callable(args[0]) and not options else self


for chip in ("machine", "rp2", "esp32", "uctypes"):
    sys.modules[chip] = Nothing()
words = sys.argv[1:]
sys.argv[1:] = [words[0]]
# ---
drivers = [__import__(name, None, None, ("*",)) for name in words[2:]]


class Fed(sim.vm.Line):  # noqa: F821  (the scene's)
    """An input on which a full packet has come in every time that somebody looks."""

    has_input = True
    counts = {"good": 0, "alternate": 0, "short": 0, "long": 0, "framing": 0, "lost": 0}

    def received(self):
        """512 slots that move, then none."""
        self.every = not self.every
        self.slots[0] = self.slots[0] + 1 & 255
        return memoryview(self.slots) if self.every else None


class Fully(sim.vm.Bare):  # noqa: F821
    """The app on a board with a line in."""

    def __init__(self, disk, panel):
        from firmware.app import App

        self.clock = sim.vm.Clock()  # noqa: F821
        self.line = sim.vm.Line()  # noqa: F821
        self.board = sim.vm.Board("bare", "none", (self.line, Fed()), panel, disk, self.clock)  # noqa: F821
        self.app = App(self.board)


device = Fully(disk, sim.vm.Panel(*[int(n) for n in words[1].split("x")]))  # noqa: F821
app = device.app
app.heeds = False  # until the feed is called for
device.step_ms = 25  # as a loaded chip
device.run(1)
# ---
app.running().order.fill(list(app.show.looks.ids[:40]))
app.player.next()
app.player.next()
device.run(0.1)
# ---
from firmware.show import effects as kinds  # noqa: E402

app.effects().add(kinds.new("Flame", [f.uid for f in app.show.rig.fixtures]))
app.stage.effects.start(app.stage.effects.kept[0], app.now)
del kinds
device.run(0.3)
# ---
app.intake("take")
app.heeds = True
device.run(0.3)
# ---
app.intake("record")
device.run(0.3)
# ---
def opened(name, *args):
    """Open a page and let it draw."""
    app.open(name, *args)
    device.run(0.1)
    said = app.page.__class__.__module__
    print("page", name if said == "firmware.ui." + name else "%s, for %s: %s" % (said, name, app.screen.message))
