"""python -m tests.wire.stubs: check every call of `machine`, `rp2`, `esp32` and `uctypes` in hal/ by the type stubs.

The stubs (micropython-rp2-stubs, micropython-esp32-stubs from PyPI) have a folder each in build/typings, outside the
Python that runs the tests: two chips' `machine` cannot live in one. mypy reads copies of our files, because in
pio_programs.py the PIO assembler's names must be imported, which on the device would cost memory.
"""

import pathlib
import re
import shutil
import subprocess
import sys

ROOT = pathlib.Path(__file__).parent.parent.parent
STUBS = ROOT / "build" / "typings"
COPIES = ROOT / "build" / "types"
SHARED = ("hal/board_parts.py", "hal/disk.py", "hal/line.py", "hal/line_uart.py", "hal/make.py", "hal/radio.py",
          "hal/receiver.py")
# The documentation of rp2.DMA has these attributes, its stub does not.
DMA = "    read: int\n    write: int\n    count: int\n    ctrl: int\n    channel: int\n"
# Not about the chips' calls: twins under one name, attributes given to a plain object, what a port's and a
# radio's two children add, machine code's types.
ELSE = re.compile(r'already defined|"Board" has no attribute|"(Port|Wlan)" has no attr|expected "ptr|'
                  r'\[union-attr\]|_TicksMs')


def install(chip):
    """Fetch a chip's stubs, once."""
    folder = STUBS / chip
    if (folder / "machine.pyi").exists():
        return
    subprocess.run([sys.executable, "-m", "pip", "install", "-q", "--disable-pip-version-check", "--no-deps",
                    "--target", str(folder), f"micropython-{chip}-stubs>=1.28,<2", "micropython-stdlib-stubs>=1.28,<2"],
                   check=True)
    if chip == "rp2":
        stub = folder / "rp2" / "__init__.pyi"
        stub.write_text(stub.read_text().replace("class DMA:\n", "class DMA:\n" + DMA, 1))


def files(chip):
    """What a chip's board loads of hal/."""
    own = [p.relative_to(ROOT).as_posix() for p in (ROOT / "hal" / chip).glob("*.py")]
    return sorted([*own, *SHARED])


def copies(chip):
    """Our files for mypy: their folder."""
    to = COPIES / chip
    shutil.rmtree(to, ignore_errors=True)
    for part in ("hal", "firmware/wire"):
        shutil.copytree(ROOT / part, to / part, ignore=shutil.ignore_patterns("__pycache__"))
    (to / "firmware" / "__init__.py").write_text("")
    shutil.copy(ROOT / "firmware/universe.py", to / "firmware")
    if chip == "rp2":
        for program in (to / "hal/rp2").glob("pio_*.py"):
            program.write_text(re.sub(r"(from rp2 import .*asm_pio\n)", r"\1from rp2.asm_pio import *\n",
                                      program.read_text(), count=1))
    return to


def problems(chip):
    """Lines of mypy about our own files that concern the chip's modules."""
    stubs = STUBS / chip
    run = subprocess.run(
        [sys.executable, "-m", "mypy", "--custom-typeshed-dir", str(stubs), "--no-site-packages",
         "--python-version", "3.11", "--check-untyped-defs", "--explicit-package-bases", "--cache-dir",
         str(ROOT / "build/types/cache" / chip),
         "--no-error-summary", *files(chip)],
        cwd=copies(chip), env={"MYPYPATH": str(stubs), "PATH": ""}, capture_output=True, text=True)
    if run.stderr:
        raise RuntimeError(run.stderr)
    return [line for line in run.stdout.splitlines()
            if line.startswith(("hal/", "firmware/")) and ": error:" in line and not ELSE.search(line)]


def main():
    """Print the problems; the number of them is the exit status."""
    found = []
    for chip in ("rp2", "esp32"):
        install(chip)
        found += problems(chip)
    print("\n".join(found) if found else "every call of a chip's module fits its stubs")
    return min(len(found), 1)


if __name__ == "__main__":
    sys.exit(main())
