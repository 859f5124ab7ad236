"""python -m boards: make every board's pages and picture. python -m boards check: fail when one is stale."""

import pathlib
import sys

import boards
from boards import building, chips, pages, perfpicture, picture, rules, schematic

ROOT = pathlib.Path(__file__).resolve().parent.parent
DOCS = ROOT / "docs/build"


def made():
    """Every page and picture as it should be: {path: text}."""
    found = {}
    everyone = [boards.load(name) for name in boards.NAMES]
    for board in everyone:
        folder = DOCS / board.NAME
        found[folder / "wiring.md"] = pages.wiring(board)
        found[folder / "wiring.svg"] = picture.draw(board)
        found[folder / "parts.md"] = pages.parts_list(board)
        found[folder / "build.md"] = building.building(board)
        found[folder / "perfboard.svg"] = perfpicture.draw(board)
        found[folder / "perfboard.md"] = perfpicture.page(board)
    found[DOCS / "README.md"] = pages.index(everyone)
    found[DOCS / "line_circuit.md"] = pages.line_circuit(everyone[0])
    found[DOCS / "port.svg"] = schematic.port(everyone[0])
    for folder in pages.CARRIED.values():
        found[DOCS / folder / "README.md"] = pages.carrier(folder)
    found[DOCS / "status.md"] = building.status()
    return found


def stale():
    """Files that are missing or not as they should be: list of paths."""
    return [path for path, text in made().items() if not path.exists() or path.read_text(encoding="utf-8") != text]


def main(argv):
    """Returns the exit status."""
    everyone = [boards.load(name) for name in boards.NAMES]
    wrong = [problem for board in everyone for problem in chips.problems(board) + rules.problems(board)]
    wrong += rules.unused(everyone)
    print("".join(problem + "\n" for problem in wrong), end="", file=sys.stderr)
    if argv == ["check"]:
        old = stale()
        print("".join(f"{path.relative_to(ROOT)} is stale: run python -m boards\n" for path in old), end="")
        return 1 if old or wrong else 0
    for path, text in made().items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
