"""The arrows of the house (DEVELOPERS.md): who may import whom, and what firmware may not import at all.

An import counts wherever it stands: at the top of a file, inside a function, or as the name that `once` or `Part` of
firmware/parts.py is given.
"""

import ast
import importlib
import pathlib

import pytest

import boards
from firmware import universe
from firmware.light.effects import table as effects
from firmware.ui.pages import home, table

ROOT = pathlib.Path(__file__).parent.parent
EVERYBODY = {"firmware/parts.py", "firmware/universe.py"}  # what every layer of the firmware may import
_BELOW = {"firmware/stage", "firmware/show", "firmware/light"}
MAY = {
    "firmware/parts.py": {"firmware/parts_used.py"},
    "firmware/parts_used.py": set(),
    "firmware/universe.py": set(),
    "firmware/light": {"firmware/light"},
    "firmware/wire": {"firmware/wire"},
    "firmware/show": {"firmware/show", "firmware/light"},
    "firmware/stage": {"firmware/stage", "firmware/show", "firmware/light", "firmware/wire"},
    "firmware/ui/fonts": {"firmware/ui/fonts"},
    "firmware/ui/frame": {"firmware/ui/frame", "firmware/ui/fonts"},
    "firmware/ui/pages": {"firmware/ui/pages", "firmware/ui/frame", "firmware/feed_sources.py",
                          "firmware/network_own.py", "firmware/app_ports.py", *_BELOW},
    "firmware/battery.py": set(),
    "firmware/feed_sources.py": {"firmware/network_choice.py", "firmware/feed_rdm.py"},
    "firmware/feed_rdm.py": {"firmware/wire", "firmware/feed_rdm_begin.py"},
    "firmware/feed_rdm_begin.py": {"firmware/wire", "firmware/show"},
    "firmware/network_choice.py": {"firmware/feed_network.py", "firmware/show"},
    "firmware/network_out.py": {"firmware/wire"},
    "firmware/network_own.py": set(),
    "firmware/feed_network.py": {"firmware/wire", "firmware/network_out.py", "firmware/network_own.py",
                                 "firmware/show"},
    "firmware/app_loop.py": {"firmware/ui/frame", "firmware/ui/pages", "firmware/app_time.py"},
    "firmware/app_time.py": {"firmware/stage"},
    "firmware/app_ports.py": {"firmware/two_ports.py"},
    "firmware/two_ports.py": set(),
    "firmware/app_feed.py": {"firmware/stage", "firmware/show"},
    "firmware/app_machines.py": {"firmware/app_feed.py", "firmware/battery.py", "firmware/ui/pages", "firmware/stage",
                                 "firmware/show"},
    "firmware/app.py": {"firmware/app_loop.py", "firmware/app_machines.py", "firmware/feed_sources.py",
                        "firmware/first_light.py", "firmware/app_ports.py",
                        "firmware/ui/pages", "firmware/ui/frame", "firmware/stage", "firmware/show"},
    "firmware/first_light.py": {"firmware/stage", "firmware/show"},
    "firmware/ui/light_only.py": {"firmware/ui/frame"},
    "firmware/light_only.py": {"firmware/ui/light_only.py", "firmware/show"},
    "firmware/main.py": {"firmware/app.py", "firmware/light_only.py", "firmware/start.py"},
    "firmware/start.py": {"boards", "hal", "firmware/first_light.py"},
    "hal": {"hal", "firmware/wire"},
    "boards": {"boards", "hal"},
    "host": {"host", "firmware/universe.py", "firmware/show", "firmware/light", "boards", "sim"},
}
# Who may name modules in strings, beside literals to once and Part.
_NAMING = ("firmware.parts", "firmware.ui.pages.table", "firmware.light.effects.table")
# What MicroPython has on all our chips, and the modules of a chip (hal and boards only).
BUILT_IN = {"array", "binascii", "deflate", "errno", "framebuf", "gc", "io", "json", "math", "micropython", "os",
            "random", "struct", "sys", "time", "vfs"}
CHIP = {"machine", "rp2", "esp32", "uctypes", "network", "socket", "select"}


def place(dotted):
    """The house's name for a module: its row in MAY, or its top folder."""
    path = dotted.replace(".", "/")
    if not path.startswith("firmware"):
        return path.split("/")[0]
    return next((row for row in MAY if path + ".py" == row or (path + "/").startswith(row + "/")), path)


def imports(path):
    """(line, dotted name) of everything a file imports, lazily or not."""
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, a.name) for a in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: imports are absolute"
            package = (ROOT / node.module.replace(".", "/")).is_dir()
            yield from ((node.lineno, f"{node.module}.{a.name}" if package else node.module) for a in node.names)
        elif loads(node):
            yield node.lineno, loads(node)[0].value


def loads(node):
    """The literals that once or Part is given in a call, or that follow once as an argument: [module, verb, ...]."""
    if not isinstance(node, ast.Call):
        return []
    found = [node.func, *node.args]
    for at, one in enumerate(found[:-1]):
        if getattr(one, "id", "") in ("once", "Part") and isinstance(found[at + 1], ast.Constant):
            return found[at + 1:]
    return []


def wrong(path):
    """What a file of the device imports and may not: list of "file:line name"."""
    relative = path.relative_to(ROOT).as_posix()
    row = next((r for r in MAY if relative == r or relative.startswith(r + "/")), None)
    ours = {p.name for p in ROOT.iterdir() if p.is_dir() and (p / "__init__.py").exists()}
    bad = []
    for line, name in imports(path):
        top = name.split(".")[0]
        if top in ours:
            allowed = row is not None and place(name) in MAY[row] | (EVERYBODY if row.startswith("firmware") else set())
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
        bad.write_text("import machine\nfrom firmware.stage import stage\n")
        assert len(wrong(bad)) == 2
    finally:
        bad.unlink()


def test_every_row_of_the_house_exists():
    missing = [row for row in MAY if not (ROOT / row).exists()]
    assert missing == []


def firmware():
    """{dotted name: path} of all modules of the firmware."""
    found = sorted((ROOT / "firmware").rglob("*.py"))
    return {".".join(path.relative_to(ROOT).with_suffix("").parts): path for path in found if path.stem != "__init__"}


def test_no_module_needs_itself():
    """No circles, counting what is loaded inside functions too."""
    modules = firmware()
    needs = {name: {to for _line, to in imports(path) if to in modules} - {name} for name, path in modules.items()}
    done = set()

    def visit(name, above):
        assert name not in above, " -> ".join([*above[above.index(name):], name])
        if name not in done:
            for to in sorted(needs[name]):
                visit(to, [*above, name])
            done.add(name)

    for name in modules:
        visit(name, [])


def test_what_is_loaded_by_name_is_there():
    """Each literal that once and Part are given is a module, and has the verb that once calls."""
    count = 0
    for path in firmware().values():
        for node in ast.walk(ast.parse(path.read_text())):
            literals = loads(node)
            if not literals or literals[0].value == "firmware.start":  # that needs a chip's modules
                continue
            found = importlib.import_module(literals[0].value)
            # A verb that is no literal is undo_edits.py's: tests/ui/test_edits.py calls each.
            if getattr(node.func, "id", "") != "Part" and isinstance(literals[1], ast.Constant):
                assert callable(getattr(found, literals[1].value)), (path, node.lineno)
            count += 1
    assert count > 40


def test_names_of_modules_in_strings_stand_nowhere_else():
    """Only once, Part and the two tables (_NAMING) name modules in strings, and only parts.py touches sys.modules."""
    for name, path in firmware().items():
        tree = ast.parse(path.read_text())
        allowed = [loads(node)[0] for node in ast.walk(tree) if loads(node)]
        docs = [ast.get_docstring(node, clean=False) for node in ast.walk(tree)
                if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef))]
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value not in docs:
                named = node.value.startswith(("firmware.", "hal.", "boards."))
                assert not named or node in allowed or name in _NAMING, (name, node.lineno)
            if isinstance(node, ast.Attribute) and node.attr == "modules":
                assert name == "firmware.parts", (name, node.lineno)


def test_every_effect_is_in_the_table_and_every_name_in_it_is_an_effect():
    """Each has what firmware/light/effects/__init__.py says of it."""
    files = (ROOT / "firmware/light/effects").glob("*.py")
    modules = {path.stem for path in files if "\ndef run(" in path.read_text()}
    assert sorted(modules) == sorted(effects.find(name).rsplit(".", 1)[1] for name in effects.NAMES)
    for name in effects.NAMES:
        found = importlib.import_module(effects.find(name))
        assert set(found.ACTS.split()) <= set(found.MAY.split()) <= {"level", "white", "colour"}, name
        assert found.ADDS in (True, False) and found.EACH in (True, False), name
        assert found.run.__code__.co_argcount == 1 + len(found.PARAMS.split("\n")), name
        for row in found.PARAMS.split("\n"):
            _label, _unit, low, high, first, step = row.split(",")
            assert int(low) <= int(first) <= int(high) and int(step) > 0, (name, row)
    for bad in ("", "Flam", "flame", "dice"):
        with pytest.raises(KeyError):
            effects.find(bad)


def names_of_pages():
    """The names in the table of pages."""
    return [line.split()[0] for line in table._PAGES.strip().splitlines()]


def test_every_page_is_in_the_table_and_every_name_in_it_is_a_page():
    rooms = ROOT / "firmware/ui/pages"
    pages = {path.stem for path in rooms.rglob("*.py") if "\nclass Page(" in path.read_text()}
    assert sorted(names_of_pages()) == sorted(pages)
    for name in names_of_pages():
        assert hasattr(importlib.import_module(table.find(name)[0]), "Page"), name
    for bad in ("", "ligh", "light_"):
        with pytest.raises(ValueError, match="No page called"):
            table.find(bad)


def test_every_page_that_is_opened_by_name_is_in_the_table():
    opened = [name for _label, name in home.PAGES]
    for path in firmware().values():
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "open" and node.args:
                opened += [arg.value for arg in node.args[:1] if isinstance(arg, ast.Constant)]
                opened += [arg.elts[0].value for arg in node.args[1:] if isinstance(arg, ast.Tuple) and arg.elts
                           and isinstance(arg.elts[0], ast.Constant)]
            if (isinstance(node, ast.Assign) and getattr(node.targets[0], "id", "") == "parent"
                    and isinstance(node.value, ast.Constant)):
                opened.append(node.value.value)
    assert len(opened) > 60
    assert set(opened) <= set(names_of_pages())


# Where the number of slots may stand as a literal, and why. A twin's stands once, in the constant that is named here.
TWINS = {
    "firmware/stage/flash_loops_viper.py": "_SLOTS",  # viper folds only constants of its own module
    "firmware/wire/capture_code_viper.py": "_STEP",
    "firmware/wire/capture_code_read_viper.py": "_STEP",
}
OTHER_MEANINGS = {
    "firmware/wire/rdm_pids.py": "the numbers of the parameters SENSOR_DEFINITION and SENSOR_VALUE",
    "firmware/show/flash_room.py": "bytes of a file that lies inside its folder",
    "firmware/stage/tick_loops.py": "half of 1024, to round",
    "firmware/stage/tick_loops_viper.py": "half of 1024, to round",
}


def test_the_number_of_slots_stands_in_one_place():
    """Only universe.py and the native twins say 512, or one less or more, of slots."""
    near = {universe.SLOTS - 1, universe.SLOTS, universe.SLOTS + 1}
    assert universe.SLOTS == 512  # ANSI E1.11
    found = {}
    for path in firmware().values():
        values = [node.value for node in ast.walk(ast.parse(path.read_text()))
                  if isinstance(node, ast.Constant) and type(node.value) is int and node.value in near]
        if values:
            found[path.relative_to(ROOT).as_posix()] = values
    assert set(found) <= {"firmware/universe.py", *TWINS, *OTHER_MEANINGS}
    for name, constant in TWINS.items():
        assert found[name] == [universe.SLOTS], name
        assert f"{constant} = const({universe.SLOTS})" in (ROOT / name).read_text()
