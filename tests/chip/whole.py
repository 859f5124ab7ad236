"""The whole firmware on the emulated chip: its panel, its USB port, and power that goes while it writes."""

import os
import subprocess
import sys

import boards
from host import pack
from host.rom_names import ROM, RP2
from tests.chip.emulated import Emulated
from tests.chip.glass import Glass
from tests.chip.port import Terminal, transport

_WRITE = b"""
import os
n = 0
while True:
    n += 1
    with open("new", "w") as f:
        f.write(("%d\\n" % n) * 900)
    os.rename("new", "kept")
"""


def panel(report, uf2, name):
    """A board's panel shows something, and scan() finds an OLED and nobody else."""
    board = boards.load(name)
    chip = Emulated(uf2, pack.packed(board, pack.ARCH[board.CHIP]))
    glass = Glass(chip, board.PANEL)
    edges = chip.watch(0)
    chip.run(6000)
    glass.look()
    rows = glass.screen.rgb()
    lit = len(rows) - rows.count(0)
    first = edges[1][0] / 1e6 if len(edges) > 1 else None
    report.check(f"{name}: the panel is drawn", lit > 1000, f"{lit} bytes of the picture are lit, first packet {first}")
    odd = chip.core.head.odd
    report.check(f"{name}: nothing outside the address map was touched", not odd, hex(odd))
    if board.PANEL["bus"] == "i2c":
        link = transport(chip)
        link.enter_raw_repl(soft_reset=False)
        pins, number = board.PANEL["pins"], board.PANEL["id"]
        found = link.exec(f"from machine import I2C, Pin\nprint(I2C({number}, sda=Pin({pins['sda']}), "
                          f"scl=Pin({pins['scl']})).scan())")
        report.check(f"{name}: scan() finds the OLED alone", found.strip() == b"[60]", found)


def port(report, uf2):
    """Many bytes at once reach the chip whole, and the host's commands find it on a pseudo-terminal."""
    chip = Emulated(uf2)
    chip.run(300)
    link = transport(chip)
    link.enter_raw_repl(soft_reset=False)
    data = os.urandom(20_000)
    link.exec(b"data = bytes.fromhex('" + data.hex().encode() + b"')\nwith open('data', 'wb') as f: f.write(data)")
    back = bytes.fromhex(link.exec(b"print(open('data', 'rb').read().hex())").decode())
    report.check("20 KB to the chip and back by USB", back == data, len(back))
    link.exit_raw_repl()
    chip.run(100)
    report.check("and in its file system, seen from outside", chip.files().get("data") == data, sorted(chip.files()))
    with Terminal(chip) as terminal:
        told = subprocess.run([sys.executable, "-m", "host", "flash", "--board", "pico_tft", "--dry-run", "--port",
                               terminal.port], capture_output=True, text=True, timeout=120)
    report.check("the host's flash command talks to it", told.returncode == 0 and "files to copy" in told.stdout,
                 (told.stdout + told.stderr).strip().splitlines()[-1:])


def names(report, uf2):
    """What host/shorten.py takes for names that the chip has in ROM brings none to its table of names, and `import`
    finds no module of the chip's under them."""
    chip = Emulated(uf2)
    chip.run(300)
    link = transport(chip)
    link.enter_raw_repl(soft_reset=False)
    link.exec("import micropython, gc")
    asked, costly, count = ["warm", *ROM, *RP2, "zqxj"], [], 0
    for at in range(0, len(asked), 50):
        some = asked[at : at + 50]
        said = link.exec(f"for name in {' '.join(some)!r}.split():\n hasattr(gc, name)\n micropython.qstr_info()")
        counts = [int(line.split(b"n_qstr=")[1].split(b",")[0]) for line in said.splitlines() if b"n_qstr=" in line]
        costly += [name for name, before, after in zip(some, [count or counts[0], *counts], counts) if after > before]
        count = counts[-1]
    report.check(f"{len(ROM + RP2)} names are in ROM, and another is not", costly == ["zqxj"], costly)
    modules = ["array", *pack.names().modules.values()]
    link.exec("import sys\nsys.path[:] = ['/none', '.frozen']\nfound = []")
    for at in range(0, len(modules), 50):
        link.exec(f"for name in {' '.join(modules[at : at + 50])!r}.split():\n try: __import__(name)\n "
                  "except ImportError: continue\n found.append(name)")
    found = link.exec("print(' '.join(found))").decode().split()
    report.check(f"none of {len(modules) - 1} modules has the name of one of MicroPython's", found == ["array"], found)


def cuts(report, uf2):
    """Power goes in a file's writing, at times that are not the program's: the file of before is there, or the new one,
    whole; and what a cut left boots."""
    chip = Emulated(uf2)
    chip.run(300)
    kept, whole = [], True
    for n in range(8):
        link = transport(chip)
        link.enter_raw_repl(soft_reset=False)
        link.exec_raw_no_follow(_WRITE)
        chip.run(777 + 61.7 * n)
        torn = chip.core.busy()
        chip.power_cut()
        lines = chip.files().get("kept", b"").split()
        whole = whole and len(set(lines)) <= 1 and len(lines) in (0, 900)
        kept.append((int(lines[0]) if lines else 0, torn))
        chip.power_up()
        chip.run(300)
    report.check("a file is old or new, never between, at 8 cuts", whole and any(torn for _, torn in kept), kept)


def both(report, uf2, files):
    """First edge of the line, with misses of the flash's cache and without."""
    found = {}
    for cache in (True, False):
        chip = Emulated(uf2, files, cache=cache)
        edges = chip.watch(0)
        chip.run(4000, lambda edges=edges: len(edges) > 1)
        found[f"cache={cache}"] = round(edges[1][0] / 1e6) if len(edges) > 1 else None
    report.check("ms from power-up to the line's first edge", None not in found.values(), found)
