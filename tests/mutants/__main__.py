"""python -m tests.mutants [COUNT] [--seed N] [--minutes N] [--only PATH] [--again WHAT]: change the program in COUNT
places, one at a time, each drawn by the seed, and see whether the tests of its area notice.

Each result is a line of build/mutants/seed-N.jsonl; a second run goes on where the first ended. Changes whose tests are
known come first. A survivor is printed
with its line. Look at each: either a test is missing, or the change makes no difference that anybody could see.
`--again survived` tries the survivors once more, after a test was written. The last line is one JSON object. What is
needed beside the tests' own packages: coverage (pip install -e '.[mutants]'). No tool from the registries fits: they
rewrite functions or bytecode, which code that is loaded and dropped all the time (firmware/parts.py) does not keep.
"""

import argparse
import importlib.util
import json
import random
import sys

from tests.mutants import areas, change, fork, reach, tree, trial


def sample(count, seed, only=""):
    """So many changes: [(path, change)], the same for a seed."""
    found = []
    for path in areas.modules():
        if path.startswith(only):
            found += [(path, one) for one in change.changes((areas.ROOT / path).read_text())]
    dice = random.Random(seed)
    return dice.sample(found, min(count, len(found)))


def words(path, one):
    """A change in words: where it is, what stood there and stands there now, and the line."""
    text = (areas.ROOT / path).read_text()
    line, begin, end, new = one
    old = text.encode()[begin:end].decode()
    return f"{path}:{line}: {old!r} -> {new!r}: {text.splitlines()[line - 1].strip()}"


class Book:
    """What was found, kept in a file: the last line about a change counts."""

    def __init__(self, path):
        self._path = path
        lines = path.read_text().splitlines() if path.exists() else ()
        self.found = {entry["change"]: entry for entry in map(json.loads, lines)}

    def add(self, name, found):
        """Keep a result."""
        self.found[name] = {"change": name, **found}
        self._path.parent.mkdir(parents=True, exist_ok=True)
        with self._path.open("a") as file:
            file.write(json.dumps(self.found[name]) + "\n")


def main(argv):
    asked = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__.split("\n\n")[0])
    asked.add_argument("count", type=int, nargs="?", default=300)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--minutes", type=float, default=0, help="stop after so long (0: never)")
    asked.add_argument("--only", default="", help="beginning of a path")
    asked.add_argument("--again", default="", help="try those again that ended so: survived, slow")
    options = asked.parse_args(argv)
    if not importlib.util.find_spec("coverage"):
        sys.exit("coverage is missing: pip install -e '.[mutants]'")
    book = Book(reach.FILE.parent / f"seed-{options.seed}.jsonl")
    fork.warm()
    tree.renew()
    tried, began, mine = trial.Trial(reach.Reach(tree.ROOT)), fork.seconds(), []
    left = []
    for path, one in sample(options.count, options.seed, options.only):
        known = book.found.get(words(path, one))
        if known and known["what"] != (options.again or None):
            mine.append(known)
        else:
            left.append((path, one))
    while left and not (options.minutes and fork.seconds() - began > 60 * options.minutes):
        path, one = left.pop(min(range(len(left)), key=lambda n: tried.news(left[n][0])))
        name, at = words(path, one), fork.seconds()
        found = tried.of(path, one)
        book.add(name, {**found, "seconds": round(fork.seconds() - at, 1)})
        mine.append(book.found[name])
        if found["what"] != fork.KILLED:
            print(f"{found['what']}: {name}", flush=True)
    counts = {what: sum(entry["what"] == what for entry in mine) for what in (fork.KILLED, fork.LIVED, fork.LATE)}
    print(json.dumps({"tried": len(mine), **counts, "seed": options.seed,
                      "survivors": [entry["change"] for entry in mine if entry["what"] != fork.KILLED]}))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
