"""Starts the power-cut harness on the VM, for the tests and the bench."""

import json
import subprocess

from tests.vm import runner


def cuts(*args):
    """Run cuts.py with these arguments: the object that it prints, None without the VM.
    Errors: CalledProcessError with what the VM said."""
    vm = runner.unix()
    if vm is None:
        return None
    command = [vm, "-X", "heapsize=160m", "tests/keep/vm/cuts.py", *map(str, args)]
    done = subprocess.run(command, cwd=runner.ROOT, capture_output=True, text=True, check=False)
    if done.returncode:
        raise subprocess.CalledProcessError(done.returncode, command, done.stdout, done.stderr)
    return json.loads(done.stdout.splitlines()[-1])
