"""What the heap holds after boot with the demo show, on the 32-bit VM: bytes a module, and blocks by kind of object.

A module's weight is what the heap grows by when it is loaded after those it needs: code, names new to the VM, tables.
What growing tables of names add falls on the module that happened to need them.
"""

import ast
import collections
import json
import pathlib
import re
import tempfile

from host import pack
from sim import demo
from sim.disk import FolderDisk
from tests.vm import runner

PANELS = {"oled": "128x64x1", "tft": "320x240x4"}
# What MicroPython's heap map calls the first block of an object.
KINDS = {"L": "lists", "T": "tuples", "D": "dicts", "F": "floats", "B": "functions", "M": "modules", "S": "strings",
         "A": "arrays", "h": "code, bytes, instances"}
_LOOK = """import sys, micropython
print("modules", " ".join(sys.modules))
micropython.qstr_info()
micropython.mem_info(1)"""


def figures():
    """`PANEL_boot`: bytes in use; `PANEL_modules`: {module: bytes}; `PANEL_kinds`: {kind: [objects, bytes]};
    `PANEL_names`: [count, bytes] of interned strings, which are never freed."""
    out = {}
    for panel, size in PANELS.items():
        with tempfile.TemporaryDirectory() as folder:
            demo.write(FolderDisk(folder))
            booted = pieces(scene(folder, size) + ["device.run(1)", _LOOK], folder)
            loaded = re.search(r"^modules (.*)$", booted, re.M)[1].split()
            order = ordered(loaded)
            heaps = found(pieces([""] + ["import " + name for name in order], folder))
            out[panel + "_boot"] = found(booted)[1] - found(booted)[0]
            out[panel + "_modules"] = {name: heaps[n + 1] - heaps[n] for n, name in enumerate(order)}
            out[panel + "_kinds"] = kinds(booted)
            names = re.search(r"n_qstr=(\d+).*n_total_bytes=(\d+)", booted)
            out[panel + "_names"] = [int(names[1]), int(names[2])]
    return out


def scene(folder, size):
    """The first half of tests/vm/scene.py, and a device on its disk, as pieces."""
    panel = ", ".join(size.split("x"))
    device = f"device = sim.vm.Bare(disk, sim.vm.Panel({panel}))"
    return ["import sys\nsys.argv[1:] = [%r]" % folder, runner.scene_head() + device]


def pieces(parts, folder, small=False):
    """Run pieces of Python on the VM -> what it said. small: all as for an RP2040, see runner.tree."""
    with tempfile.NamedTemporaryFile("w", suffix=".json") as file:
        json.dump([pack.names().shorten(part) for part in parts] if small else parts, file)
        file.flush()
        return runner.wasm(runner.tree(small=small), file.name, folder, timeout=300)


def found(said):
    """The numbers of the lines heap N."""
    return [int(n) for n in re.findall(r"^heap (\d+)$", said, re.M)]


def ordered(names):
    """Modules of ours in an order in which each comes after those it needs at its top."""
    out = []

    def visit(name):
        path = source(name)
        if name in names and path and name not in out:
            for needed in needs(ast.parse(path.read_text()).body):
                visit(needed)
            out.append(name)

    for name in sorted(names):
        visit(name)
    return out


def needs(body):
    """Dotted names that a module imports at its top."""
    for node in body:
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Try):
            yield from needs(node.body)
            for handler in node.handlers:
                yield from needs(handler.body)


def source(name):
    """The file of a module that is ours, or None."""
    path = pathlib.Path(runner.ROOT, *name.split(".")).with_suffix(".py")
    return path if path.is_file() else None


def kinds(said):
    """{kind: [objects, bytes]} from the heap's map: a block is 16 bytes, "=" goes on with the object before it."""
    blocks = "".join(re.findall(r"^[0-9a-f]{8}: (\S+)", said, re.M))
    out = collections.defaultdict(lambda: [0, 0])
    for first, rest in re.findall(r"([A-Za-z])(=*)", blocks):
        out[KINDS.get(first, first)][0] += 1
        out[KINDS.get(first, first)][1] += 16 * (1 + len(rest))
    return dict(out)
