"""python -m tests.bench [NAME ...]: measure and print; the last line of each is one JSON object."""

import importlib
import json
import pathlib
import sys

import sim  # noqa: F401  the MicroPython stand-ins


def names():
    """Every module beside this one that has figures()."""
    return sorted(p.stem for p in pathlib.Path(__file__).parent.glob("[a-z]*.py"))


def main(asked):
    """Print the figures asked for (all without names). Returns the exit status."""
    unknown = [name for name in asked if name not in names()]
    if unknown:
        print(f"no figure called {', '.join(unknown)}; there are: {', '.join(names())}", file=sys.stderr)
        return 2
    for name in asked or names():
        figures = importlib.import_module("tests.bench." + name).figures()
        for key, value in figures.items():
            print(f"{name:10} {key:28} {value}")
        print(json.dumps(figures), flush=True)
    return 0


sys.exit(main(sys.argv[1:]))
