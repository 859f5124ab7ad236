"""python -m tests.fuzz [TARGET ...] [--seconds N] [--seed N]: look for bytes that a parser trips over.

By coverage with atheris (pip install -e '.[fuzz]'), else at random from the same seeds. What is found is written to
tests/fuzz/corpus/TARGET/, from where tests/fuzz/test_fuzz.py takes it: mend the fault, keep the file.
"""

import argparse
import hashlib
import pathlib
import random
import subprocess
import sys
import tempfile
import time
import traceback

import sim  # noqa: F401
from tests.fuzz import CORPUS

asked = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__.split("\n")[0])
asked.add_argument("targets", nargs="*", metavar="TARGET")
asked.add_argument("--seconds", type=int, default=60, help="for each target")
asked.add_argument("--seed", type=int, default=1)
asked.add_argument("--guided", action="store_true", help=argparse.SUPPRESS)


def keep(name, data):
    """Write down an input that was found -> its path."""
    folder = CORPUS / name
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / hashlib.sha256(data).hexdigest()[:12]
    path.write_bytes(data)
    return path


def at_random(target, seconds, seed):
    """Change good inputs at random -> (tries, found)."""
    from tests.fuzz import seeds

    dice, good, found = random.Random(seed), seeds.of(target), {}
    began = time.monotonic()
    tries = 0
    while time.monotonic() - began < seconds:
        data = seeds.changed(dice.choice(good), dice)
        tries += 1
        try:
            target(data)
        except Exception:
            found.setdefault(traceback.format_exc(limit=-2), data)
    return tries, found


def guided(name, seconds, seed):
    """Fuzz one target by coverage, in this process, which ends with it."""
    import atheris

    with atheris.instrument_imports(include=["firmware", "host", "hal", "sim"]):
        from tests.fuzz import seeds, targets
    target = getattr(targets, name)
    folder = tempfile.mkdtemp()
    for n, data in enumerate(seeds.of(target)):
        (pathlib.Path(folder) / str(n)).write_bytes(data)

    def mutate(data, most, number):
        return seeds.changed(data, random.Random(number))[:most]

    where = CORPUS / name
    where.mkdir(parents=True, exist_ok=True)
    atheris.Setup([name, folder, f"-max_total_time={seconds}", f"-seed={seed}", f"-artifact_prefix={where}/",
                   "-max_len=20000", "-print_final_stats=1"], target, custom_mutator=mutate)
    atheris.Fuzz()


def main(argv):
    options = asked.parse_args(argv)
    if options.guided:
        guided(options.targets[0], options.seconds, options.seed)
    from tests.fuzz import targets

    names = [target.__name__ for target in targets.TARGETS]
    unknown = [name for name in options.targets if name not in names]
    if unknown:
        print(f"no target called {', '.join(unknown)}; there are: {', '.join(names)}", file=sys.stderr)
        return 2
    try:
        import atheris  # noqa: F401

        by_coverage = True
    except ImportError:
        by_coverage = False
    failed = 0
    for name in options.targets or names:
        if by_coverage:
            command = [sys.executable, "-m", "tests.fuzz", name, "--guided", "--seconds", str(options.seconds),
                       "--seed", str(options.seed)]
            done = subprocess.run(command, capture_output=True, text=True, errors="replace", check=False)
            said = [line for line in done.stderr.split("\n") if "number_of_executed_units" in line or " cov: " in line]
            print(f"{name}: {'found something' if done.returncode else 'nothing found'}; {' '.join(said[-2:])}")
            if done.returncode:
                print((done.stdout + done.stderr)[-3000:])
            failed += bool(done.returncode)
            continue
        tries, found = at_random(getattr(targets, name), options.seconds, options.seed)
        print(f"{name}: {tries} tries at random, {len(found)} faults found")
        for words, data in found.items():
            print(words, keep(name, data), sep="\n")
        failed += bool(found)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
