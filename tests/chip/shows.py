"""What lies on an emulated board's flash: the packed firmware, and a show as the simulator leaves it when the plug is
pulled some seconds after a look was gone to."""

import functools

import boards
from host import pack
from sim import Bench, demo
from sim.disk import MemoryDisk
from tests.bench.memory import full_show

KINDS = ("empty", "demo", "full")
LOOKS = 120  # of the full show
FAR = ("Amber", "Azure")  # two of them, each lamp far from the other in level, white and colour; its order begins with
                          # the second, the first, and both again
_ON = {"demo": "Evening", "full": FAR[0]}
_SAVED_S = 6  # by then the state of the stage is on the disk


@functools.cache
def firmware(board):
    """The files that `host flash` puts on a board: {path: bytes}."""
    described = boards.load(board)
    return pack.packed(described, pack.ARCH[described.CHIP])


def files(board, kind):
    """(all files of a board with a show, the frame that was on when its power went or None)."""
    shown, frame = _show(board, kind)
    return firmware(board) | shown, frame


@functools.cache
def _show(board, kind):
    disk = MemoryDisk()
    if kind == "empty":
        return {}, None
    if kind == "demo":
        demo.write(disk)
    else:
        full_show(disk, LOOKS - len(FAR))
    with Bench(board=board, show=None, disk=disk) as b:
        b.run(0.5)
        if kind == "full":
            _add_far(b)
            order = b.app.machines.running_order().order
            looks = b.app.show.looks
            order.fill([looks.number(name) for name in FAR[::-1] * 2 + tuple(looks.names()[2:80])])
            b.app.machines.stop_running_order()
        b.app.stage.go(_ON[kind], 0)
        b.run(_SAVED_S)
        frame = b.frame
        b.cut_power()
        return {path: bytes(data) for path, data in b.disk.files.items()}, frame


def _add_far(b):
    rig, looks = b.app.show.rig, b.app.show.looks
    near = {f.uid: [8000, 2800, 0, 3000, 4000, 5000, {}] for f in rig.fixtures}
    far = {f.uid: [50000, 6500, 0, 21000, 9000, 5000, {}] for f in rig.fixtures}
    for name, lights in zip(FAR, (near, far)):
        looks.store(name, lights)


def twin(board, kind):
    """The simulator with the same show, started from the same files: a Bench. It tells what the chip should do."""
    disk = MemoryDisk()
    for path, data in _show(board, kind)[0].items():
        for at, c in enumerate(path):
            if c == "/":
                disk.mkdir(path[:at])
        disk.write(path, data)
    return Bench(board=board, show=None, disk=disk)
