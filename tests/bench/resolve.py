"""What it costs to resolve one light into the channels of a lamp, for each kind, on the VM."""

from tests.vm import runner


def figures():
    """One key a kind: µs on the unix VM, the least of many rounds."""
    said = runner.run("tests/vm/resolve.py", runner.ROOT, heap="1m")
    return {kind: round(float(us), 1) for kind, us in (line.split() for line in said.splitlines())}
