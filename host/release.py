"""Make all that is given away: `make release`, or python -m host.release: dist/ with checksums.

The wheel, the packed firmware of each board, the page as files for a web server, and the building pages with the
printed parts. The version stands in one place, firmware/app.py.
"""

import hashlib
import pathlib
import shutil
import subprocess
import sys
import tempfile
import zipfile

import boards
from host import Refused, pack, web
from host.__main__ import version

ROOT = pathlib.Path(__file__).resolve().parents[1]
SUMS = "SHA256SUMS"
_DATE = (2020, 1, 1, 0, 0, 0)  # of all files in an archive: the same sources give the same bytes
HOW = """Halfstop {version} for {board} ({chip})

These two files are the firmware. `halfstop flash` (pip install halfstop) and the page's "Put it on a board" copy them,
check them and keep the version before; to do it by hand, with MicroPython {oldest} or newer on the board:

    pip install mpremote
    mpremote cp halfstop.mpy :halfstop.mpy
    mpremote cp main.py :main.py
    mpremote reset

Shows on the board stay as they are.
"""


def build(folder, packs=None, wheel=True):
    """Write everything -> [path]. packs: {board: {path: bytes}}, None: packed now. Errors: Refused."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    name = f"halfstop-{version()}"
    packs = packs or {one: pack.packed(boards.load(one), pack.ARCH[boards.load(one).CHIP]) for one in boards.NAMES}
    for board, files in packs.items():
        how = HOW.format(version=version(), board=board, chip=boards.load(board).CHIP, oldest="1.24")
        zipped(folder / f"{name}-{board}.zip", {**files, "README.txt": how.encode()})
    with tempfile.TemporaryDirectory() as work:
        web.build(pathlib.Path(work), packs)
        zipped(folder / f"{name}-web.zip", contents(pathlib.Path(work)))
    zipped(folder / f"{name}-build.zip", contents(ROOT / "docs/build"))
    if wheel:
        _wheel(folder)
    made = sorted(path for path in folder.iterdir())
    sums = "".join(f"{hashlib.sha256(path.read_bytes()).hexdigest()}  {path.name}\n" for path in made)
    (folder / SUMS).write_text(sums, encoding="utf-8")
    return [*made, folder / SUMS]


def contents(folder):
    """Every file of a folder: {path: bytes}."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def zipped(target, files):
    """Write a .zip whose bytes follow from the files alone."""
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for path, data in sorted(files.items()):
            archive.writestr(zipfile.ZipInfo(path, _DATE), data, zipfile.ZIP_DEFLATED)


def _wheel(folder):
    command = [sys.executable, "-m", "pip", "wheel", "-q", "--disable-pip-version-check", "--no-deps",
               "--no-build-isolation", "-w", str(folder), str(ROOT)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        raise Refused(f"the wheel was not built:\n{done.stderr[-2000:]}")


def main(argv):
    """Write dist/. Returns the exit status."""
    try:
        made = build(pathlib.Path(argv[0] if argv else "dist"))
    except Refused as error:
        print(f"release: {error}", file=sys.stderr)
        return 1
    for path in made:
        print(f"{path}  {path.stat().st_size:,} bytes")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
