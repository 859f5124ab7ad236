"""Bytes of .mpy on flash, and the heap that is left on the chips with everything loaded.

The heap is weighed on the 32-bit wasm VM: words as wide as the chips'. It has no native emitter, so the plain twins of
machine-code modules are weighed in their place. The RP2040's heap is the one measured after boot of the real images.
"""

import json
import shutil
import subprocess
import tempfile

import boards
from host import pack
from sim import demo
from sim.disk import FolderDisk
from tests.bench.memory import full_show
from tests.vm import runner

RP2040_FREE = {"preview": 229_552, "1.28.0": 241_648}  # bytes after boot and one collection, empty flash


# Every page of firmware/ui, with what it is opened with (f: a fixture).
PAGES = (
    "'about'", "'capture', 1", "'captures'", "'cross', app.show.looks.names()[1]",
    "'effect', app.stage.effects.kept[0]", "'effect_flash'", "'effects'", "'faults'", "'feed'", "'feed_counts'",
    "'feed_lost'", "'groups'", "'home'", "'kind', f", "'kit'", "'lamp', f", "'light'", "'light_acts', f, [f]", "'load'",
    "'look', app.show.looks.names()[1]", "'looks'", "'meter'", "'meter_lamp', f", "'meter_trim', f, False",
    "'meter_trim', f, True", "'name', 'lamp', f.name, None, (), ('light',)", "'pick'", "'record'", "'rig'", "'run'",
    "'run_add'", "'run_step', app.player.order.steps[0]", "'selftest'", "'sheet'", "'show', app.show.folder[6:]",
    "'shows'", "'slate'", "'slate', True", "'slate_back'", "'slots'", "'store'",
)


def figures():
    """`used_BOARD_SHOW_LOADED`: bytes that our code and data take of the heap (demo: the demo show; full: 64 fixtures
    and 200 looks; boot: as it starts; all: every module loaded at once, which the device never does). `drivers_BOARD`:
    the part of them that the board takes, code and buffers, before the app is loaded."""
    out = {}
    for name in boards.NAMES:
        out["mpy_bytes_" + name] = sum(len(data) for data in pack.build(boards.load(name), arch(name)).values())
    out["mpy_bytes"] = out["mpy_bytes_pico_tft"]
    if shutil.which("node") is None or not runner.WASM.exists():
        return {**out, "rp2040_heap_free": None, "rp2350_heap_free": None, "note": "the 32-bit VM is not installed"}
    for name in ("pico_tft", "pico_oled"):
        out["drivers_" + name] = drivers(boards.load(name))
        for show, write in (("demo", demo.write), ("full", full_show)):
            for loaded in ("boot", "all"):
                out[f"used_{name}_{show}_{loaded}"] = used(boards.load(name), write, loaded == "all")
    for key, name, show, loaded in (
            ("rp2040_heap_free", "pico_tft", "full", "all"), ("rp2040_demo_boot_heap_free", "pico_tft", "demo", "boot"),
            ("rp2040_oled_heap_free", "pico_oled", "full", "all"),
            ("rp2040_oled_demo_boot_heap_free", "pico_oled", "demo", "boot")):
        out[key] = RP2040_FREE["preview"] - out[f"used_{name}_{show}_{loaded}"]
    out["rp2350_heap_free"] = None
    out["how"] = ("heap of the RP2040 preview image after boot, less what the wasm VM's heap grew by with the board "
                  "made on stand-ins, the app booted, the full show and every module loaded; at boot: as it starts")
    out["note"] = ("rp2350_heap_free: no image was at hand; its RAM is 262,144 bytes larger, so about "
                   f"{out['rp2040_heap_free'] + 262_144:,} if the image keeps as much for itself")
    return out


def arch(name):
    return pack.ARCH[boards.load(name).CHIP]


def drivers(board):
    """Bytes of heap that a board's drivers take, the input listening, over those of a VM with the stand-ins alone."""
    with tempfile.TemporaryDirectory() as work:
        tree(board, work + "/tree")
        return run(work + "/tree", board.NAME) - run(work + "/tree", "stand-ins")


def used(board, write, everything):
    """Bytes of heap that drivers and app take with a show on the page Light, over those of a VM that holds only the
    stand-ins (sim/vm.py and what it needs); everything: with every page and helper loaded as well."""
    with tempfile.TemporaryDirectory() as work:
        write(FolderDisk(work + "/show"))
        with open(work + "/script.txt", "w") as script:
            script.write("run 1\n")
        names = tree(board, work + "/tree")
        scene = str(runner.ROOT / "tests/vm/scene.py")
        full = run(work + "/tree", board.NAME, scene, work + "/show", work + "/script.txt", "0x0x0",
                   *(names if everything else ["firmware.main"]))
        return full - run(work + "/tree", "stand-ins")


def day(board, panel):
    """Bytes of heap that the fullest day takes: {"full": the full show on the page Light, "run", "effect", "feed",
    "record": with these one after the other, PAGE: with all that and the page open}. See size_day.py."""
    with tempfile.TemporaryDirectory() as work:
        full_show(FolderDisk(work + "/show"))
        names = [name for name in tree(board, work + "/tree") if not name.startswith("firmware")]
        names = [name for name in names if name not in DROPPED and name != "boards." + board.NAME]
        scene = (runner.ROOT / "tests/vm/scene.py").read_text().rsplit("device = ", 1)[0]
        parts = (runner.ROOT / "tests/bench/size_day.py").read_text().split("# ---\n")
        parts[0] += scene
        keys = ["", "full", "run", "effect", "feed", "record", ""]
        for page in PAGES * 2:  # once, for the names that each leaves behind; then to weigh it
            parts.append("f = app.show.rig.fixtures[3]\nopened(%s)\ndel f" % page)
            keys.append(page)
        with open(work + "/day.json", "w") as file:
            json.dump(parts, file)
        said = run(work + "/tree", work + "/day.json", work + "/show", panel, *names)
    refused = [line for line in said.splitlines() if line.startswith("page ") and "for" in line]
    heaps = [int(line[5:]) for line in said.splitlines() if line.startswith("heap ")]
    weighed = dict(zip(keys, [heap - heaps[0] for heap in heaps]))
    weighed.pop("")
    return weighed, refused


def tree(board, folder):
    """Compile what the board gets, and the bare board, as bytecode; returns the dotted names of the board's modules."""
    shutil.copytree(runner.tree(), folder)
    names = []
    for name, path in pack.modules(board).items():
        if path.suffix != ".py" or "@micropython." in path.read_text():
            continue
        made = runner.pathlib.Path(folder) / (name[:-3] + ".mpy")
        made.parent.mkdir(parents=True, exist_ok=True)
        made.write_bytes(pack.compile_one(name, path, "", board.CHIP not in pack.NO_LINES))
        names.append(name[:-3].removesuffix("/__init__").replace("/", "."))
    return names


def run(folder, script, *args):
    """What a script said on the wasm VM."""
    command = ["node", str(runner.ROOT / "tests/vm/wasm.mjs"), str(runner.WASM), folder, script, *args]
    done = subprocess.run(command, cwd=runner.ROOT, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    return done.stdout
