"""halfstop VERB ..., or python -m host VERB ...: find the verb's module, hand it the arguments. Imports that one."""

import ast
import importlib
import pathlib
import sys

import sim  # noqa: F401  the MicroPython stand-ins, for what firmware/show and firmware/light import
from host import Refused, command, local


def constants(path):
    """The module's top-level string constants: {name: value}. Reads the source, imports nothing."""
    found = {}
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            value = getattr(node.value, "value", None)
            if isinstance(value, str):
                found[node.targets[0].id] = value
    return found


def verbs():
    """Every verb: {verb: (module name, help line)}, in alphabetical order."""
    table = {}
    for path in pathlib.Path(__file__).parent.glob("[a-z]*.py"):
        said = constants(path)
        if "HELP" in said:
            table[said.get("VERB", path.stem)] = (path.stem, said["HELP"])
    return dict(sorted(table.items()))


def version():
    """The version of all of this, which the firmware says on the board too."""
    return constants(pathlib.Path(__file__).parent.parent / "firmware/app.py")["VERSION"]


def usage(table):
    """The page that `--help` prints."""
    lines = ["usage: halfstop VERB [...]", ""]
    lines += [f"  {verb:12}{said}" for verb, (_, said) in table.items()]
    codes = command.CODES.format(one=command.ONE)
    return "\n".join([*lines, "", "halfstop VERB --help tells more about one verb; --version says which this is.",
                      codes])


def main(argv):
    """Run one verb. argv: without the program's name -> exit status (2: unknown verb, 130: broken off)."""
    table = verbs()
    if not argv or argv[0] in ("-h", "--help", "help"):
        print(usage(table))
        return 0 if argv else 2
    if argv[0] == "--version":
        print("halfstop", version())
        return 0
    if argv[0] not in table:
        print(f"no verb called {argv[0]!r}; there are: {', '.join(table)}", file=sys.stderr)
        return 2
    try:
        return importlib.import_module("host." + table[argv[0]][0]).main(argv[1:])
    except ModuleNotFoundError as error:
        print(f"{argv[0]} needs the Python package {error.name}: {_fetched_by()}", file=sys.stderr)
        return 1
    except Refused as error:
        print(f"{argv[0]}: {error}", file=sys.stderr)
        return 1
    except OSError as error:  # of this computer's files, which no verb has taken for what it was
        print(f"{argv[0]}: {local.why(error)}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print(f"{argv[0]}: broken off; nothing half-done is left in use, run it again", file=sys.stderr)
        return 130


def _fetched_by():
    """What fetches a package that is missing: all of them in a checkout, this one where halfstop is installed."""
    checkout = (pathlib.Path(__file__).parent.parent / "pyproject.toml").exists()
    return "pip install -e '.[dev]' fetches it" if checkout else "pip install --force-reinstall halfstop fetches it"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
