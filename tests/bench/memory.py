"""Heap in use after boot: the demo show, and a full one (64 fixtures, 200 looks); 64-bit unix VM and 32-bit wasm VM."""

import tempfile

from firmware.show.show import Show
from sim import demo
from sim.disk import FolderDisk
from tests.bench.weight import found, pieces, scene
from tests.vm import runner

_KINDS = ("dim", "white", "tint16", "full", "rgb", "rgbw", "rgbww", "raw4")


def full_show(disk, looks=200):
    """Write a show with 64 mixed fixtures and so many looks of all of them."""
    disk.mkdir("shows")
    disk.mkdir("shows/full")
    show = Show(disk, "shows/full")
    for n in range(64):
        show.rig.add(_KINDS[n % len(_KINDS)], "Lamp %d" % n)
    show.save_rig()
    for n in range(looks):
        lights = {f.uid: [n * 300, 3200 + n, 0, n * 100, 2000, 10000, {}] for f in show.rig.fixtures}
        show.looks.store("Look number %d" % n, lights)


def figures():
    """Bytes of heap used after boot and a collection, `App` booted and stepped for a second on a bare board."""
    out = {}
    for key, write in (("boot", demo.write), ("full", full_show)):
        with tempfile.TemporaryDirectory() as folder, tempfile.NamedTemporaryFile("w", suffix=".txt") as script:
            write(FolderDisk(folder))
            script.write("run 1\nheap\n")
            script.flush()
            for panel, size in (("", "320x240x4"), ("_oled", "128x64x1")):
                args = ("tests/vm/scene.py", folder, script.name, size)
                out["unix_" + key + panel] = heap(runner.run(*args, heap="1m"))
                out["wasm_" + key + panel] = after_boot(folder, size)
    out["note"] = "compiled as shipped; without suffix: the colour panel"
    return out


def after_boot(folder, panel):
    """Bytes of heap used a second after boot on the 32-bit VM, packed as for an RP2040. Of several readings the least:
    a stale word on the VM's stack can hold a module that was dropped."""
    readings = ["device.run(1)"] + ["device.run(0.1)"] * 4
    return min(found(pieces(scene(folder, panel) + readings, folder, small=True))[-len(readings):])


def heap(said):
    """The number behind the last word heap."""
    return int(said.rsplit("heap ", 1)[1].split()[0])
