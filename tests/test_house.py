"""The arrows of the house (DEVELOPERS.md): who may import whom, and what firmware may not import at all."""

import ast
import pathlib

import pytest

import boards

ROOT = pathlib.Path(__file__).parent.parent
MAY = {
    "firmware/drop.py": set(),
    "firmware/light": {"firmware/light"},
    "firmware/wire": {"firmware/wire"},
    "firmware/show": {"firmware/show", "firmware/light"},
    "firmware/stage": {"firmware/stage", "firmware/show", "firmware/light", "firmware/wire"},
    "firmware/ui": {"firmware/ui", "firmware/stage", "firmware/show", "firmware/light"},
    "firmware/app.py": {"firmware/ui", "firmware/stage", "firmware/show", "firmware/light"},
    "firmware/main.py": {"firmware/app.py", "firmware/start.py"},
    "firmware/start.py": {"boards", "hal"},
    "hal": {"hal", "firmware/wire"},
    "boards": {"boards", "hal"},
    "host": {"host", "firmware/show", "firmware/light", "boards", "sim"},
}
# What MicroPython has on all our chips, and the modules of a chip (hal and boards only).
BUILT_IN = {"array", "binascii", "errno", "framebuf", "gc", "io", "json", "math", "micropython", "os", "random",
            "struct", "sys", "time", "vfs"}
CHIP = {"machine", "rp2", "esp32", "uctypes"}


def place(dotted):
    """The house's name for a module: its row in MAY, or its top folder."""
    parts = dotted.split(".")
    if parts[0] != "firmware":
        return parts[0]
    if len(parts) == 1:
        return "firmware"
    folder = ROOT / "firmware" / parts[1]
    return f"firmware/{parts[1]}" if folder.is_dir() else f"firmware/{parts[1]}.py"


def imports(path):
    """(line, dotted name) of everything a file imports."""
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, a.name) for a in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: imports are absolute"
            package = (ROOT / node.module.replace(".", "/")).is_dir()
            yield from ((node.lineno, f"{node.module}.{a.name}" if package else node.module) for a in node.names)


def wrong(path):
    """What a file of the device imports and may not: list of "file:line name"."""
    relative = path.relative_to(ROOT).as_posix()
    row = next((r for r in MAY if relative == r or relative.startswith(r + "/")), None)
    ours = {p.name for p in ROOT.iterdir() if p.is_dir() and (p / "__init__.py").exists()}
    bad = []
    for line, name in imports(path):
        top = name.split(".")[0]
        if top in ours:
            allowed = row is not None and place(name) in MAY[row] | {"firmware/drop.py"}
        elif relative.startswith("host/") or generator(relative):
            allowed = True  # the maker's computer has every package
        else:
            allowed = top in BUILT_IN or (top in CHIP and not relative.startswith("firmware/"))
        if not allowed:
            bad.append(f"{relative}:{line} {name}")
    return bad


def generator(relative):
    """True for what lies beside the board files and never goes on a board: checks, pages, pictures, the case."""
    on_the_board = {"boards/__init__.py", "boards/pico.py", *(f"boards/{name}.py" for name in boards.NAMES)}
    return relative.startswith("boards/") and relative not in on_the_board


def device_files():
    """All files that MAY has a row for."""
    return sorted(p for row in MAY for p in ([ROOT / row] if row.endswith(".py") else (ROOT / row).rglob("*.py")))


@pytest.mark.parametrize("path", device_files(), ids=lambda p: p.relative_to(ROOT).as_posix())
def test_imports_run_one_way(path):
    assert wrong(path) == []


def test_a_wrong_arrow_is_seen():
    """The check can fail: a show that reaches up to the stage, and a firmware that asks for the chip."""
    bad = ROOT / "firmware" / "show" / "_arrow_probe.py"
    try:
        bad.write_text("import machine\nfrom firmware.stage import blend\n")
        assert len(wrong(bad)) == 2
    finally:
        bad.unlink()


def test_every_row_of_the_house_exists():
    missing = [row for row in MAY if not (ROOT / row).exists()]
    assert missing == []
