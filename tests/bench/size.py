"""Bytes of .mpy on flash, and the heap that is left on the chips.

The heap is weighed on the 32-bit wasm VM, whose words are as wide as the chips', with the board made on stand-ins for
the chip's modules. It has no native emitter: the plain twins of machine-code modules are weighed there, and what the
machine code takes beyond them by the sizes of the .mpy files. The RP2040's heap is the one measured after boot of the
real images.
"""

import functools
import json
import shutil
import tempfile

import boards
from host import pack
from sim import demo
from sim.disk import FolderDisk
from tests.bench.memory import full_show
from tests.vm import runner

RP2040_FREE = {"preview": 229_552, "1.28.0": 241_648}  # bytes after boot and one collection, empty flash
READER = 4_400  # of them what reads the archive takes (on the emulated RP2040)
STAGES = ("drivers", "boot", "run", "feed", "record", "effect")
# Every page of firmware/ui, with what it is opened with (f: a fixture).
PAGES = (
    "'about'", "'capture_settings', 1", "'captures'", "'look_crossfade', app.show.looks.names()[1]",
    "'effect_settings', app.stage.effects.saved[0]", "'effects_flash_limit'", "'effects'", "'faults'", "'feed'",
    "'feed_counts'", "'feed_lost'", "'groups'", "'home'", "'lamp_kind', f", "'settings'", "'lamp', f", "'light'",
    "'light_actions', f, [f]", "'load'", "'look', app.show.looks.names()[1]", "'looks'", "'meter'", "'meter_lamp', f",
    "'meter_read', f", "'meter_eye', f",
    "'meter_trim', f, False", "'meter_trim', f, True", "'name', 'lamp', f.name, ('light',), None", "'light_pick'",
    "'capture_record'", "'rig'", "'run'", "'run_add'", "'run_step', app.player.order.steps[0]", "'selftest'",
    "'sheet'", "'show', app.show.folder[6:]", "'shows'", "'slate'", "'slate', True", "'slate_recall'", "'slots'",
    "'look_store'",
)
# Of them, those that load a machine of their own.
MACHINES = ("'feed", "'capture", "'effect")


def figures():
    """`free_BOARD_STAGE`: bytes of heap that are left, each with all that stands before it: boot: the full show (64
    fixtures, 200 looks) on the page Light; run: the running order in a fade; feed: a feed merged; record: and recorded;
    effect: one on all lamps; all: any page with all that. With the running order alone: page: the heaviest page but for
    those of MACHINES, any_page: those too. demo: the demo show, as it starts."""
    out = {}
    for name in boards.NAMES:
        out["mpy_bytes_" + name] = sum(len(data) for data in pack.build(boards.load(name), arch(name)).values())
    out["mpy_bytes"] = out["mpy_bytes_pico_tft"]
    if shutil.which("node") is None or not runner.WASM.exists():
        return {**out, "rp2040_heap_free": None, "rp2350_heap_free": None, "note": "the 32-bit VM is not installed"}
    for name in ("pico_tft", "pico_oled"):
        board = boards.load(name)
        used = {"demo": weighed(board, demo.write, (), STAGES[:2])["boot"], **day(board)}
        out["drivers_" + name] = used.pop("drivers")
        out.update({f"free_{name}_{stage}": RP2040_FREE["1.28.0"] - READER - taken for stage, taken in used.items()})
    worst = min(out["free_pico_tft_page"], out["free_pico_oled_page"])
    out["rp2040_heap_free"] = worst
    out["rp2040_preview_heap_free"] = worst - RP2040_FREE["1.28.0"] + RP2040_FREE["preview"]
    out["rp2350_heap_free"] = None
    out["how"] = ("heap of the RP2040's 1.28.0 image after boot, less what the wasm VM's heap grew by with the board "
                  "made on stand-ins, the full show, the running order in a fade, the names of all pages, and "
                  "the heaviest page open that brings no machine of its own (feed, recorder, effects: free_BOARD_feed, "
                  "_record, _effect, _any_page, _all), machine code by the size of its .mpy; the worse board")
    out["note"] = ("rp2350_heap_free: no image was at hand; its RAM is 262,144 bytes larger. Below 0: the device does "
                   "not have room for all that at once, and says so when the last is asked for")
    return out


def arch(name):
    return pack.ARCH[boards.load(name).CHIP]


def drivers(board):
    """Bytes of heap that a board's drivers take, the input listening, over those of a VM with the stand-ins alone."""
    return weighed(board, demo.write, (), STAGES[:1])["drivers"]


def day(board):
    """Bytes of heap at each stage of the fullest day."""
    pages = [page for page in PAGES if ".effects." not in page]
    light = weighed(board, full_show, pages, STAGES[:3])
    plain = [page for page in pages if not page.startswith(MACHINES)]
    full = weighed(board, full_show, PAGES)
    return {**{stage: full[stage] for stage in STAGES}, "page": max(light[page] for page in plain),
            "any_page": max(light[page] for page in pages), "all": max(full[page] for page in PAGES)}


def weighed(board, write, pages, stages=STAGES):
    """{stage or page: bytes of heap in use, over those of a VM with the stand-ins}; see size_day.py."""
    with tempfile.TemporaryDirectory() as work:
        write(FolderDisk(work + "/show"))
        tree(board, work + "/tree")
        head, *parts = (runner.ROOT / "tests/bench/size_day.py").read_text().split("# ---\n")
        parts = [head + f"TWINS = {tuple(twins())}\n" + runner.scene_head()] + parts[:len(stages)]
        opened = ["f = app.show.rig.fixtures[3]\nopened(%s)\ndel f" % page for page in pages]
        parts += opened  # for the names that each leaves behind
        keys = ["", *stages] + [""] * len(pages)
        for page, piece in zip(pages, opened):
            parts += [piece] + ["device.run(0.1)"] * 3
            keys += [page] * 4
        with open(work + "/day.json", "w") as file:
            json.dump([pack.names().shorten(part) for part in parts], file)
        said = runner.wasm(work + "/tree", work + "/day.json", work + "/show", board.NAME, timeout=300)
    return read(said, keys)


def read(said, keys):
    """What the pieces said. Of several times the least: levels in a fade are numbers like addresses of this VM's heap,
    and hold now and then what was dropped; the chips' heap begins far above. Errors: AssertionError for a page that did
    not open."""
    out, native, base = {}, 0, None
    keys = iter(keys)
    for line in said.splitlines():
        word, _, rest = line.partition(" ")
        assert word != "page" or "for" not in rest, line
        if word == "twins":
            native = sum(twins()[pack.names().real(name, "")[0]] for name in rest.split())
        elif word == "heap":
            base = int(rest) if base is None else base
            key, taken = next(keys), int(rest) - base + native
            out[key] = min(out.get(key, taken), taken)
    return out


@functools.lru_cache(maxsize=1)
def twins():
    """{plain twin: bytes that its machine code on an RP2040 takes more than it does}."""
    out = {}
    for path in [path for folder in ("firmware", "hal") for path in (runner.ROOT / folder).glob("**/*_viper.py")]:
        name = path.relative_to(runner.ROOT).as_posix()
        plain = path.with_name(path.name.replace("_viper", ""))
        sizes = [len(pack.compile_one(name, one, arch, True)) for one, arch in ((path, "armv6m"), (plain, ""))]
        out[name.removesuffix("_viper.py").replace("/", ".")] = sizes[0] - sizes[1]
    return out


def tree(board, folder):
    """Compile what the board gets, and the bare board of sim/, as bytecode."""
    shutil.copytree(runner.tree(small=True), folder)
    for name, path in pack.modules(board).items():
        if path.suffix != ".py" or "@micropython." in path.read_text():
            continue
        made = runner.pathlib.Path(folder) / (pack.names().path(name)[:-3] + ".mpy")
        made.parent.mkdir(parents=True, exist_ok=True)
        if not made.exists():
            made.write_bytes(pack.compile_one(name, path, "", True))
