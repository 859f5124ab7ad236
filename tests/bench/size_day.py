"""Pieces for the 32-bit VM, divided by lines "# ---"; the heap is read after each. Run by tests/bench/size.py, with the
show's folder and the board's name.

The most that a device holds at once: its drivers, a full show, the running order in a fade, an effect on all lamps, a
feed that is merged and recorded; and then one page after the other.
"""

import gc
import sys

sys.path.insert(0, ".")
gc.threshold(12288)  # as in firmware/main.py


class Nothing:
    """In place of anything of the chip's: takes every call."""

    def __getattr__(self, name):
        return self

    def __call__(self, *args, **options):
        return self


class Words:
    """machine.mem32."""

    def __getitem__(self, address):
        return 0

    def __setitem__(self, address, value):
        pass


class Channel:
    """rp2.DMA."""

    channel = read = write = ctrl = 0

    def pack_ctrl(self, **fields):
        return 0

    def config(self, **fields):
        pass

    def active(self, on):
        pass


def chip():
    """What a chip's modules are to the drivers. A PIO program is what the chip makes of it: instructions and words."""
    machine, rp2, uctypes = Nothing(), Nothing(), Nothing()
    machine.mem32 = Words()
    rp2.DMA = Channel
    rp2.asm_pio = lambda **options: lambda program: [bytes(64), -1, -1, 0, 0, 0]
    uctypes.addressof = lambda memory: 0x20000000
    word = Nothing()
    word.value = 0
    uctypes.struct = lambda address, fields: word
    sys.modules["machine"], sys.modules["rp2"], sys.modules["uctypes"] = machine, rp2, uctypes


def board(name):
    """The board as the chip has it; only that its block for a restart lies anywhere."""
    chip()
    with open("boards/board.txt", "w") as file:
        file.write(name)
    before = list(sys.modules)
    from hal.rp2 import restart_memory
    from hal.rp2.dma_ring import block

    restart_memory._above = lambda most, size: block(size)
    from firmware.parts import once

    made = once("firmware.start", "make")
    # What the patch loaded too early for once to drop.
    early = [name for name in sys.modules if name not in before and name.startswith("hal.rp2.")]
    for name in early + ["firmware.wire.dmx"]:
        package, _dot, last = name.rpartition(".")
        del sys.modules[name]
        if package:  # a short name has none
            delattr(sys.modules[package], last)
    return made


words = sys.argv[1:]
sys.argv[1:] = words[:1]
chip()

# ---
made = board(words[1])
# ---
main = __import__("firmware.main", None, None, ("*",))


class Fed(sim.vm.Line):  # noqa: F821  (the scene's)
    """An input on which, once it is plugged in, a full packet has come in every time that somebody looks."""

    has_input = True
    plugged = False
    counts = {"good": 0, "alternate": 0, "short": 0, "long": 0, "framing": 0, "lost": 0}

    def received(self):
        """512 slots that move, then none."""
        self.every = not self.every
        self.slots[0] = self.slots[0] + 1 & 255
        return memoryview(self.slots) if self.every and self.plugged else None


class Fully(sim.vm.Bare):  # noqa: F821
    """The app on a board with a line in."""

    def __init__(self, disk, panel):
        from firmware.app import App

        self.clock = sim.vm.Clock()  # noqa: F821
        self.line = sim.vm.Line()  # noqa: F821
        self.board = sim.vm.Board("bare", "none", (self.line, Fed()), panel, disk, self.clock)  # noqa: F821
        self.app = App(self.board)


parts = __import__("firmware.parts", None, None, ("once",))
device = Fully(disk, made.panel)  # noqa: F821
app = device.app
device.step_ms = 25  # as a loaded chip
device.run(1)


def opened(name, *args):
    """Open a page and let it draw."""
    app.open(name, *args)
    device.run(0.05)
    print("page", name if app.page_name == name else "%s, for %s: %s" % (app.page_name, name, app.screen.message))
    loaded()


def loaded():
    """Tell the plain twins of machine code that are loaded."""
    print("twins", " ".join([name for name in sys.modules if name in TWINS]))  # noqa: F821


loaded()
# ---
app.machines.running_order().order.fill(list(app.show.looks.ids[:40]))
app.player.next()
app.player.next()
device.run(0.1)
loaded()
# ---
device.board.lines[1].plugged = True
app.machines.take_feed()
app.machines.listens = True
device.run(0.3)
loaded()
# ---
part = parts.Part("firmware.ui.pages.feed.feed_control")
part.module.record(app)
part.close()
device.run(0.3)
loaded()
# ---
uids = [f.uid for f in app.show.rig.fixtures]
app.machines.effects().add(parts.once("firmware.show.effect_settings", "new", "Flame", uids))
app.stage.effects.start(app.stage.effects.saved[0], app.now)
device.run(0.3)
loaded()
