"""Runs on the 32-bit VM for tests/bench/size.py. Arguments: "stand-ins" (nothing of ours); BOARD: make the board by
firmware/start.py on stand-ins for the chip's modules; BOARD SCENE FOLDER SCRIPT PANEL NAME...: also run
tests/vm/scene.py with its panel on a show, then load every module named. Everything is kept."""

import sys

sys.path.insert(0, ".")


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
    sys.modules["machine"], sys.modules["rp2"], sys.modules["uctypes"] = machine, rp2, uctypes


def board(name):
    """The board as the chip has it; only that its block for a restart lies anywhere."""
    chip()
    with open("board.txt", "w") as file:
        file.write(name)
    from hal.rp2 import memory
    from hal.rp2.ring import block

    memory._above = lambda most, size: block(size)
    from firmware.start import make

    return make()


kept = []
if sys.argv[1] == "stand-ins":
    import sim.vm

    chip()
    kept.append(sim.vm)
else:
    import sim.vm

    made = board(sys.argv[1])
    kept += [sim.vm, made]
if len(sys.argv) > 2:
    sim.vm.Panel = lambda *size: made.panel
    scene, names = sys.argv[2], sys.argv[6:]
    sys.argv[1:] = sys.argv[3:6]
    with open(scene) as file:
        exec(file.read())
    for wanted in names:
        kept.append(__import__(wanted, None, None, ("*",)))
