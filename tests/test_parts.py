"""firmware/parts.py keeps what is in use, and drops the rest: on CPython and on both MicroPython VMs."""

import ast
import subprocess
import sys

import pytest

from tests.vm import runner

SCRIPT = "tests/vm/parts.py"


def python(script, folder):
    done = subprocess.run([sys.executable, runner.ROOT / script, folder], cwd=runner.ROOT, capture_output=True,
                          text=True, check=False)
    return done.stdout + done.stderr


@pytest.mark.parametrize("machine", [python, runner.run, runner.run_wasm])
def test_parts(machine, tmp_path):
    checks = [node.name for node in ast.parse((runner.ROOT / SCRIPT).read_text()).body
              if isinstance(node, ast.FunctionDef) and node.name.startswith("check_")]
    said = machine(SCRIPT, tmp_path)
    done = [line[3:] for line in said.splitlines() if line.startswith("ok ")]
    assert done == sorted(checks), said
