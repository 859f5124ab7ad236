"""The drawing on the real MicroPython VM: twins equal, no allocation, the same bytes on the bus as on CPython."""

import contextlib
import io
import runpy
import subprocess
from pathlib import Path

from tests.vm import runner

HERE = Path(__file__).parent
ROOT = HERE.parent.parent


def on_the_vm(vm, name):
    """What a script of this folder prints on the VM."""
    done = subprocess.run([vm, "-X", "heapsize=400k", HERE / name, ROOT / "firmware"], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_twins(vm):
    assert on_the_vm(vm, "vm_twins.py") == "same\n"


def test_same_bytes_on_the_bus_and_no_allocation(vm):
    """The scene runs under micropython.heap_lock() on the VM: text, shapes, swatches, checksums, sending."""
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        runpy.run_path(str(HERE / "vm_scene.py"))
    assert said.getvalue().count("\n") == 6
    assert on_the_vm(vm, "vm_scene.py") == said.getvalue()


def test_same_bytes_on_the_32_bit_vm():
    """The plain twins on a VM without an emitter, whose words are as long as the chips'."""
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        runpy.run_path(str(HERE / "vm_scene.py"))
    lines = runner.run_wasm("tests/panels/vm_scene.py", ROOT / "firmware", ROOT / "hal").splitlines()
    assert lines[:6] == said.getvalue().splitlines()
