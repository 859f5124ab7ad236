"""python -m tests.mutants [COUNT] [--seed N] [--minutes N] [--only PATH]: change the program in COUNT places, one at a
time, each drawn by the seed, and see whether the tests of its area notice.

A survivor is printed with its line. Look at each: either a test is missing, or the change makes no difference that
anybody could see. The last line is one JSON object. No tool from the registries fits: they rewrite functions or
bytecode, which code that is loaded and dropped all the time (firmware/parts.py) does not keep.
"""

import argparse
import json
import os
import pathlib
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time

from tests.mutants import areas, change

LIMIT_S = 240  # of the tests of one change
_COPIED = ("firmware", "hal", "host", "boards", "sim", "tests", "pyproject.toml", "docs", "README.md", "DEVELOPERS.md")


def sample(count, seed, only=""):
    """So many changes: [(path, change)], the same for a seed."""
    found = []
    for path in areas.modules():
        if path.startswith(only):
            found += [(path, one) for one in change.changes((areas.ROOT / path).read_text())]
    dice = random.Random(seed)
    return dice.sample(found, min(count, len(found)))


def noticed(root, path, limit=LIMIT_S):
    """Run the tests of a module in a copy of the tree -> "killed", "survived" or "slow"."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist",
               *areas.tests_of(path)]
    running = subprocess.Popen(command, cwd=root, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                               start_new_session=True, env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"})
    try:
        return "killed" if running.wait(timeout=limit) else "survived"
    except subprocess.TimeoutExpired:
        os.killpg(running.pid, signal.SIGKILL)
        running.wait()
        return "slow"


def copied(folder):
    """A copy of the tree there -> its root."""
    root = pathlib.Path(folder) / "tree"
    root.mkdir()
    for name in _COPIED:
        here = areas.ROOT / name
        (shutil.copytree if here.is_dir() else shutil.copy)(here, root / name)
    (root / "build").mkdir()  # what is compiled there is of the changed program
    for name in ("build/npm", ".venv"):
        if (areas.ROOT / name).exists():
            (root / name).symlink_to(areas.ROOT / name)
    return root


def main(argv):
    asked = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__.split("\n\n")[0])
    asked.add_argument("count", type=int, nargs="?", default=300)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--minutes", type=float, default=0, help="stop after so long (0: never)")
    asked.add_argument("--only", default="", help="beginning of a path")
    options = asked.parse_args(argv)
    counts, began, lived = {"killed": 0, "survived": 0, "slow": 0}, time.monotonic(), []
    with tempfile.TemporaryDirectory() as folder:
        root = copied(folder)
        for path, one in sample(options.count, options.seed, options.only):
            if options.minutes and time.monotonic() - began > 60 * options.minutes:
                break
            text = (areas.ROOT / path).read_text()
            (root / path).write_text(change.apply(text, one))
            what = noticed(root, path)
            (root / path).write_text(text)
            counts[what] += 1
            line, begin, end, new = one
            if what != "killed":
                lived.append(f"{path}:{line}")
                old = text.encode()[begin:end].decode()
                print(f"{what}: {path}:{line}: {old!r} -> {new!r}: {text.splitlines()[line - 1].strip()}", flush=True)
    print(json.dumps({"tried": sum(counts.values()), **counts, "seed": options.seed, "survivors": lived}))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
